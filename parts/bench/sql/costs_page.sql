-- with costs
SELECT * FROM (
    SELECT 'line' AS what, id, heading, what AS name, part, basis, paid, low, likely, high
    FROM costs
    ORDER BY CASE heading WHEN 'fasteners' THEN 1 WHEN 'castings' THEN 2 WHEN 'machining' THEN 3
        WHEN 'material' THEN 4 WHEN 'carriage' THEN 5 WHEN 'hire' THEN 6 ELSE 7 END, id LIMIT 100)
UNION ALL
SELECT 'heading', COUNT(*), heading, NULL, NULL, NULL, SUM(paid), SUM(low), SUM(likely), SUM(high)
FROM costs GROUP BY heading
UNION ALL
SELECT 'component', COUNT(*), component_id, NULL, NULL, NULL, SUM(paid), SUM(low), SUM(likely),
    SUM(high) FROM costs GROUP BY component_id
UNION ALL
SELECT 'basis', COUNT(*), basis, NULL, NULL, NULL, SUM(paid), SUM(low), SUM(likely), SUM(high)
FROM costs GROUP BY basis
UNION ALL
SELECT 'month', COUNT(*), strftime('%Y-%m', a.day), NULL, NULL, NULL, SUM(a.likely), NULL, NULL, NULL
FROM parts_costamount a JOIN parts_costitem i ON i.id = a.item_id
WHERE i.engine_id = :engine AND i.removed_at IS NULL AND a.removed_at IS NULL AND a.basis = 'paid'
GROUP BY strftime('%Y-%m', a.day)
