SELECT * FROM (
    SELECT 'change' AS what, c.id, c.at, c.title, c.verb, c.by_name, c.kind, c.reason, c.before,
        c.after, p.item
    FROM parts_change c LEFT JOIN parts_part p ON p.id = c.part_id
    WHERE c.engine_id = :engine ORDER BY c.at DESC, c.id DESC LIMIT 100)
UNION ALL
SELECT 'all', COUNT(*), NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL
FROM parts_change WHERE engine_id = :engine
UNION ALL
SELECT DISTINCT 'kind', NULL, NULL, NULL, NULL, NULL, kind, NULL, NULL, NULL, NULL
FROM parts_change WHERE engine_id = :engine
UNION ALL
SELECT DISTINCT 'who', NULL, NULL, NULL, NULL, by_name, NULL, NULL, NULL, NULL, NULL
FROM parts_change WHERE engine_id = :engine
