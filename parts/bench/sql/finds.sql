SELECT * FROM (
    SELECT 'find' AS what, f.id, f.tag, f.day, f.quantity, f.looks_like, f.material, f.odd,
        (SELECT group_concat(p.item || ' ' || p.name) FROM parts_pieceentry x
            JOIN parts_part p ON p.id = x.part_id
            WHERE x.find_id = f.id AND x.kind = 'identified' AND x.removed_at IS NULL) AS known,
        (SELECT SUM(x.pieces) FROM parts_pieceentry x
            WHERE x.find_id = f.id AND x.kind = 'identified' AND x.removed_at IS NULL) AS identified,
        (SELECT h.uid FROM parts_photo h
            WHERE h.find_id = f.id AND h.removed_at IS NULL ORDER BY h.id LIMIT 1) AS photo
    FROM parts_find f WHERE f.engine_id = :engine AND f.removed_at IS NULL
    ORDER BY f.day DESC, f.id DESC LIMIT 100)
UNION ALL
SELECT 'sums', COUNT(*), NULL, NULL, SUM(quantity), NULL, NULL, SUM(odd <> ''), NULL,
    SUM(odd = '' AND f.quantity > (
        SELECT COALESCE(SUM(x.pieces), 0) FROM parts_pieceentry x
        WHERE x.find_id = f.id AND x.kind = 'identified' AND x.removed_at IS NULL)), NULL
FROM parts_find f WHERE f.engine_id = :engine AND f.removed_at IS NULL
UNION ALL
SELECT 'clash', COUNT(*), tag, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL
FROM parts_find WHERE engine_id = :engine AND removed_at IS NULL AND tag <> ''
GROUP BY tag HAVING COUNT(*) > 1
