-- with matches
SELECT 'find' AS what, f.id, f.tag, f.looks_like, f.quantity, f.still_on_engine,
    (SELECT SUM(x.pieces) FROM parts_pieceentry x
        WHERE x.find_id = f.id AND x.kind = 'identified' AND x.removed_at IS NULL) AS identified
FROM parts_find f WHERE f.id = :find
UNION ALL
SELECT 'match', id, item, name, NULL, NULL, NULL FROM matches
UNION ALL
SELECT * FROM (
    SELECT 'photo', id, uid, credit, day, NULL, NULL FROM parts_photo
    WHERE find_id = :find AND removed_at IS NULL ORDER BY day, id LIMIT 4)
