-- with standing; :material and :state narrow the list when they are not empty
, class AS (
    SELECT part_id, condition_class FROM (
        SELECT part_id, condition_class,
            ROW_NUMBER() OVER (PARTITION BY part_id ORDER BY day DESC, id DESC) AS place
        FROM parts_conditionnote
        WHERE engine_id = :engine AND removed_at IS NULL AND part_id IS NOT NULL
    ) WHERE place = 1
),
way AS (
    SELECT part_id, route FROM (
        SELECT m.part_id, m.route,
            ROW_NUMBER() OVER (PARTITION BY m.part_id ORDER BY m.id DESC) AS place
        FROM parts_making m
        WHERE m.engine_id = :engine AND m.removed_at IS NULL AND (
            SELECT SUM(f.pieces) FROM parts_fact f
            WHERE f.making_id = m.id AND f.kind = 'decided' AND f.removed_at IS NULL) > 0
    ) WHERE place = 1
),
rows AS MATERIALIZED (
    SELECT p.id, p.item, p.name, p.component_id, c.number, c.name AS component, p.material,
        p.quantity, p.size, COALESCE(w.route, p.usual_route) AS route, k.condition_class,
        s.need, s.in_place, s.fitted, s.found, s.being_made, s.to_be_made, s.past_use, s.missing
    FROM standing s
    JOIN parts_part p ON p.id = s.id
    JOIN parts_component c ON c.id = p.component_id
    LEFT JOIN class k ON k.part_id = p.id
    LEFT JOIN way w ON w.part_id = p.id
),
kept AS (
    SELECT * FROM rows
    WHERE (:material = '' OR material = :material) AND (:state = '' OR missing > 0)
)
SELECT * FROM (
    SELECT 'line' AS what, item, name, number, component, material, quantity, size,
        condition_class, in_place, fitted, found, being_made, to_be_made, past_use, missing
    FROM kept ORDER BY item LIMIT 100)
UNION ALL
SELECT 'sums', COUNT(*), NULL, NULL, NULL, NULL, SUM(need), NULL, NULL, SUM(in_place), SUM(fitted),
    SUM(found), SUM(being_made), SUM(to_be_made), SUM(past_use), SUM(missing) FROM kept
UNION ALL
SELECT 'parts in state', NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, SUM(in_place > 0),
    SUM(fitted > 0), SUM(found > 0), SUM(being_made > 0), SUM(to_be_made > 0), SUM(past_use > 0),
    SUM(missing > 0)
FROM rows WHERE :material = '' OR material = :material
UNION ALL
SELECT 'component', COUNT(*), component, number, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL,
    NULL, NULL, NULL FROM kept GROUP BY component_id
UNION ALL
SELECT 'material', COUNT(*), material, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL,
    NULL, NULL, NULL FROM rows WHERE :state = '' OR missing > 0 GROUP BY material
UNION ALL
SELECT 'route', COUNT(*), route, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL,
    NULL, NULL FROM kept GROUP BY route
UNION ALL
SELECT 'condition', COUNT(*), condition_class, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL,
    NULL, NULL, NULL, NULL FROM kept GROUP BY condition_class
