-- with standing, costs, makings
SELECT * FROM (
    SELECT 'line' AS what, item, name, component, route, reached, pieces, size, metal, mass, who,
        wanted_by, low, likely, high
    FROM makings
    ORDER BY CASE route WHEN 'cast' THEN 1 WHEN 'machine' THEN 2 WHEN 'fabricate' THEN 3
        WHEN 'buy' THEN 4 ELSE 5 END, item LIMIT 100)
UNION ALL
SELECT 'sums', COUNT(*), NULL, NULL, route, NULL, SUM(pieces), NULL, NULL, SUM(mass * pieces), NULL,
    NULL, SUM(low), SUM(likely), SUM(high) FROM makings GROUP BY route
UNION ALL
SELECT * FROM (
    SELECT 'decide', p.item, p.name, c.name, p.usual_route, NULL, s.missing + s.past_use, p.size,
        p.material, NULL, NULL, NULL, s.missing, s.past_use, NULL
    FROM standing s JOIN parts_part p ON p.id = s.id JOIN parts_component c ON c.id = p.component_id
    WHERE s.missing + s.past_use > 0 ORDER BY p.item LIMIT 12)
UNION ALL
SELECT 'to decide', COUNT(*), NULL, NULL, NULL, NULL, SUM(missing + past_use), NULL, NULL, NULL,
    NULL, NULL, NULL, NULL, NULL FROM standing WHERE missing + past_use > 0
UNION ALL
SELECT DISTINCT 'hands', NULL, who, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL,
    NULL FROM makings
UNION ALL
SELECT DISTINCT 'component', NULL, component, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL,
    NULL, NULL, NULL FROM makings
