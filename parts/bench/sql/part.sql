SELECT 'part' AS what, p.id, p.item, p.name, p.material, p.size, p.quantity, p.note, c.name AS rest
FROM parts_part p JOIN parts_component c ON c.id = p.component_id WHERE p.id = :part
UNION ALL
SELECT 'entry', id, day, kind, pieces, stage, job_id, reason, who FROM parts_pieceentry
WHERE part_id = :part AND removed_at IS NULL
UNION ALL
SELECT DISTINCT 'find', f.id, f.day, f.tag, f.quantity, f.looks_like, f.material, f.found_by, NULL
FROM parts_find f JOIN parts_pieceentry x ON x.find_id = f.id
WHERE x.part_id = :part AND x.removed_at IS NULL
UNION ALL
SELECT 'note', id, day, condition_class, seen, urgency, recommendation, who, NULL
FROM parts_conditionnote WHERE part_id = :part AND removed_at IS NULL
UNION ALL
SELECT 'measure', id, day, what, written, unit, plus_or_minus, instrument, who
FROM parts_measurement WHERE part_id = :part AND removed_at IS NULL
UNION ALL
SELECT 'job', id, route, who, metal, size, wanted_by, reason, note FROM parts_job
WHERE part_id = :part AND removed_at IS NULL
UNION ALL
SELECT 'cost', i.id, i.heading, i.what, a.basis, a.day, a.low, a.likely, a.high
FROM parts_costitem i JOIN parts_costamount a ON a.item_id = i.id
LEFT JOIN parts_job m ON m.id = i.job_id
WHERE i.engine_id = :engine AND (i.part_id = :part OR m.part_id = :part)
    AND i.removed_at IS NULL AND a.removed_at IS NULL
UNION ALL
SELECT * FROM (
    SELECT 'change', id, at, title, verb, by_name, before, after, reason FROM parts_change
    WHERE part_id = :part ORDER BY at DESC, id DESC LIMIT 20)
