-- with matches
SELECT 'find' AS what, id, tag, DATE(day), quantity, looks_like, material, found_by, where_found, kept_at
FROM parts_find WHERE id = :find
UNION ALL
SELECT 'match', id, item, name, NULL, NULL, NULL, NULL, NULL, NULL FROM matches
UNION ALL
SELECT 'known', p.id, p.item, p.name, SUM(x.pieces), NULL, NULL, NULL, NULL, NULL
FROM parts_pieceentry x JOIN parts_part p ON p.id = x.part_id
WHERE x.find_id = :find AND x.kind = 'identified' AND x.removed_at IS NULL
GROUP BY p.id
UNION ALL
SELECT 'same tag', o.id, o.tag, o.day, NULL, o.looks_like, NULL, NULL, NULL, NULL
FROM parts_find o JOIN parts_find f ON f.tag = o.tag AND f.engine_id = o.engine_id AND f.id <> o.id
WHERE f.id = :find AND f.tag <> '' AND o.removed_at IS NULL
UNION ALL
SELECT 'note', id, day, condition_class, seen, who, NULL, NULL, NULL, NULL
FROM parts_conditionnote WHERE find_id = :find AND removed_at IS NULL
UNION ALL
SELECT 'measure', id, day, what, written, unit, plus_or_minus, instrument, who, NULL
FROM parts_measurement WHERE find_id = :find AND removed_at IS NULL
UNION ALL
SELECT 'photo', id, uid, credit, day, NULL, NULL, NULL, NULL, NULL
FROM parts_photo WHERE find_id = :find AND removed_at IS NULL
UNION ALL
SELECT 'lot', id, name, NULL, NULL, NULL, NULL, NULL, NULL, NULL
FROM parts_metallot WHERE find_id = :find AND removed_at IS NULL
