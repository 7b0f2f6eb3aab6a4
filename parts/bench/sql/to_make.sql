-- with status, costs, jobs
SELECT * FROM (
    SELECT 'line' AS what, item, name, component, route, reached, pieces, size, metal, mass, who,
        wanted_by, low, likely, high
    FROM jobs
    ORDER BY CASE route WHEN 'cast' THEN 1 WHEN 'machine' THEN 2 WHEN 'fabricate' THEN 3
        WHEN 'buy' THEN 4 ELSE 5 END, item LIMIT 100)
UNION ALL
SELECT 'sums', COUNT(*), NULL, NULL, route, NULL, SUM(pieces), NULL, NULL, SUM(mass * pieces), NULL,
    NULL, SUM(low), SUM(likely), SUM(high) FROM jobs GROUP BY route
UNION ALL
SELECT * FROM (
    SELECT 'decide', p.item, p.name, c.name, p.usual_route, NULL, s.missing + s.beyond_repair, p.size,
        p.material, NULL, NULL, NULL, s.missing, s.beyond_repair, NULL
    FROM status s JOIN parts_part p ON p.id = s.id JOIN parts_component c ON c.id = p.component_id
    WHERE s.missing + s.beyond_repair > 0 ORDER BY p.item LIMIT 12)
UNION ALL
SELECT 'to decide', COUNT(*), NULL, NULL, NULL, NULL, SUM(missing + beyond_repair), NULL, NULL, NULL,
    NULL, NULL, NULL, NULL, NULL FROM status WHERE missing + beyond_repair > 0
UNION ALL
SELECT DISTINCT 'hands', NULL, who, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL,
    NULL FROM jobs
UNION ALL
SELECT DISTINCT 'component', NULL, component, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL,
    NULL, NULL, NULL FROM jobs
