-- with status, costs. Pieces on the engine, hours and money, each by the end of each day on which
-- something changed; how each component stands, its hours and what was spent on it.
, changes AS (
    SELECT f.part_id, p.quantity, f.day,
        SUM(CASE WHEN kind = 'left_off' THEN pieces ELSE 0 END) AS left_off,
        SUM(CASE WHEN kind IN ('fitted', 'placed') THEN pieces
                 WHEN kind = 'beyond_repair_placed' THEN -pieces ELSE 0 END) AS on_engine
    FROM parts_pieceentry f JOIN parts_part p ON p.id = f.part_id
    WHERE f.engine_id = :engine AND f.removed_at IS NULL AND p.removed_at IS NULL
        AND f.kind IN ('left_off', 'fitted', 'placed', 'beyond_repair_placed')
    GROUP BY f.part_id, f.day
),
running AS (
    SELECT part_id, day, MIN(
        SUM(on_engine) OVER of_part, MAX(quantity - SUM(left_off) OVER of_part, 0)) AS on_engine
    FROM changes WINDOW of_part AS (PARTITION BY part_id ORDER BY day)
),
steps AS (
    SELECT day, on_engine - LAG(on_engine, 1, 0) OVER (PARTITION BY part_id ORDER BY day) AS pieces
    FROM running
),
hours AS (
    SELECT COALESCE(h.component_id, p.component_id) AS component_id, SUM(h.hours) AS hours
    FROM parts_hoursgiven h LEFT JOIN parts_part p ON p.id = h.part_id
    WHERE h.engine_id = :engine AND h.removed_at IS NULL GROUP BY 1
),
spent AS (SELECT component_id, SUM(paid) AS spent FROM costs GROUP BY component_id)
SELECT 'pieces' AS what, DATE(day), SUM(SUM(pieces)) OVER (ORDER BY day) AS so_far, NULL AS need, NULL AS a,
    NULL AS b, NULL AS c, NULL AS d, NULL AS e, NULL AS hours, NULL AS spent
FROM steps GROUP BY day
UNION ALL
SELECT 'hours', day, SUM(SUM(hours)) OVER (ORDER BY day), NULL, NULL, NULL, NULL, NULL, NULL, NULL,
    NULL
FROM parts_hoursgiven WHERE engine_id = :engine AND removed_at IS NULL GROUP BY day
UNION ALL
SELECT 'money', a.day, SUM(SUM(a.likely)) OVER (ORDER BY a.day), NULL, NULL, NULL, NULL, NULL, NULL,
    NULL, NULL
FROM parts_costamount a JOIN parts_costitem i ON i.id = a.item_id
WHERE i.engine_id = :engine AND i.removed_at IS NULL AND a.removed_at IS NULL AND a.basis = 'paid'
GROUP BY a.day
UNION ALL
SELECT 'component', c.number, c.name, SUM(s.need), SUM(s.in_place + s.fitted), SUM(s.found),
    SUM(s.being_made), SUM(s.missing + s.beyond_repair), NULL, h.hours, t.spent
FROM status s JOIN parts_part p ON p.id = s.id JOIN parts_component c ON c.id = p.component_id
LEFT JOIN hours h ON h.component_id = c.id LEFT JOIN spent t ON t.component_id = c.id
GROUP BY c.id
