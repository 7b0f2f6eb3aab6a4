-- with status; :material and :state narrow the list when they are not empty
, rows AS MATERIALIZED (
    SELECT p.id, p.item, p.name, p.component_id, c.number, c.name AS component, p.material,
        p.quantity, p.size,
        COALESCE((
            SELECT m.route FROM parts_job m
            WHERE m.part_id = p.id AND m.removed_at IS NULL AND (
                SELECT SUM(f.pieces) FROM parts_pieceentry f
                WHERE f.job_id = m.id AND f.kind = 'decided' AND f.removed_at IS NULL) > 0
            ORDER BY m.id DESC LIMIT 1), p.usual_route) AS route,
        (SELECT n.condition_class FROM parts_conditionnote n
            WHERE n.part_id = p.id AND n.removed_at IS NULL
            ORDER BY n.day DESC, n.id DESC LIMIT 1) AS condition_class,
        s.need, s.in_place, s.fitted, s.found, s.being_made, s.to_be_made, s.beyond_repair, s.missing
    FROM status s
    JOIN parts_part p ON p.id = s.id
    JOIN parts_component c ON c.id = p.component_id
),
kept AS (
    SELECT * FROM rows
    WHERE (:material = '' OR material = :material) AND (:state = '' OR missing > 0)
)
SELECT * FROM (
    SELECT 'line' AS what, item, name, number, component, material, quantity, size,
        condition_class, in_place, fitted, found, being_made, to_be_made, beyond_repair, missing
    FROM kept ORDER BY item LIMIT 100)
UNION ALL
SELECT 'sums', COUNT(*), NULL, NULL, NULL, NULL, SUM(need), NULL, NULL, SUM(in_place), SUM(fitted),
    SUM(found), SUM(being_made), SUM(to_be_made), SUM(beyond_repair), SUM(missing) FROM kept
UNION ALL
SELECT 'parts in state', NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, SUM(in_place > 0),
    SUM(fitted > 0), SUM(found > 0), SUM(being_made > 0), SUM(to_be_made > 0), SUM(beyond_repair > 0),
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
