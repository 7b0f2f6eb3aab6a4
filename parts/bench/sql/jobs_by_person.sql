-- Makings with pieces still to fit, by whose hands; nobody's last.
WITH decided AS MATERIALIZED (
    SELECT job_id,
        SUM(CASE WHEN kind = 'decided' THEN pieces ELSE 0 END) AS decided,
        SUM(CASE WHEN kind = 'fitted' THEN pieces ELSE 0 END) AS fitted
    FROM parts_pieceentry
    WHERE engine_id = :engine AND removed_at IS NULL AND job_id IS NOT NULL
    GROUP BY job_id
),
jobs AS MATERIALIZED (
    SELECT m.id, m.who, p.id AS part_id, p.item, p.name, m.route, d.decided - d.fitted AS pieces,
        d.fitted
    FROM decided d JOIN parts_job m ON m.id = d.job_id JOIN parts_part p ON p.id = m.part_id
    WHERE d.decided > d.fitted AND m.removed_at IS NULL AND p.removed_at IS NULL
),
page AS MATERIALIZED (
    SELECT * FROM jobs ORDER BY who = '', LOWER(who), item, id LIMIT 100
)
SELECT 'job' AS what, j.id, j.who, j.item, j.name, j.route, j.pieces, j.fitted,
    (SELECT json_group_object(stage, n) FROM (
        SELECT f.stage, SUM(f.pieces) AS n FROM parts_pieceentry f
        WHERE f.job_id = j.id AND f.removed_at IS NULL AND f.kind = 'stage'
        GROUP BY f.stage)) AS reached,
    (SELECT group_concat(f.kind || f.pieces) FROM parts_pieceentry f
        WHERE f.part_id = j.part_id AND f.removed_at IS NULL) AS stands
FROM page j
UNION ALL
SELECT 'hands', COUNT(*), who, NULL, NULL, NULL, SUM(pieces), NULL, NULL, NULL FROM jobs GROUP BY who
