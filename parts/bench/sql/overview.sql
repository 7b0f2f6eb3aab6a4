-- with status, costs, jobs
SELECT 'component' AS what, c.number AS n, c.name AS name, COUNT(*) AS parts,
    SUM(s.in_place) AS a, SUM(s.fitted) AS b, SUM(s.found) AS c, SUM(s.being_made) AS d,
    SUM(s.to_be_made) AS e, SUM(s.beyond_repair) AS f, SUM(s.missing) AS g
FROM status s JOIN parts_part p ON p.id = s.id JOIN parts_component c ON c.id = p.component_id
GROUP BY c.id
UNION ALL
SELECT * FROM (
    SELECT 'bench', item, name, pieces, route, who, size, reached, likely, NULL, NULL
    FROM jobs WHERE begun > 0 ORDER BY item LIMIT 6)
UNION ALL
SELECT 'on bench', COUNT(*), NULL, SUM(pieces), NULL, NULL, NULL, NULL, NULL, NULL, NULL
FROM jobs WHERE begun > 0
UNION ALL
SELECT * FROM (
    SELECT 'decide', p.item, p.name, s.missing + s.beyond_repair, p.material, p.usual_route, p.size,
        s.missing, s.beyond_repair, NULL, NULL
    FROM status s JOIN parts_part p ON p.id = s.id WHERE s.missing + s.beyond_repair > 0
    ORDER BY p.fastener, s.missing + s.beyond_repair DESC LIMIT 6)
UNION ALL
SELECT 'deciding', COUNT(*), NULL, SUM(missing + beyond_repair), NULL, NULL, NULL, NULL, NULL, NULL, NULL
FROM status WHERE missing + beyond_repair > 0
UNION ALL
SELECT 'money', COUNT(*), heading, NULL, SUM(paid), SUM(low), SUM(likely), SUM(high),
    SUM(CASE WHEN basis = 'ordered' THEN likely ELSE 0 END), NULL, NULL
FROM costs GROUP BY heading
UNION ALL
SELECT * FROM (
    SELECT 'diary', id, done, NULL, day, weather, there, NULL, NULL, NULL, NULL FROM parts_diaryentry
    WHERE engine_id = :engine AND removed_at IS NULL ORDER BY day DESC, id DESC LIMIT 1)
UNION ALL
SELECT 'hours', SUM(hours), NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL
FROM parts_hoursgiven WHERE engine_id = :engine AND removed_at IS NULL
UNION ALL
SELECT 'to identify', COUNT(*), NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL
FROM parts_find f WHERE f.engine_id = :engine AND f.removed_at IS NULL AND f.odd = ''
    AND f.quantity > (
        SELECT COALESCE(SUM(x.pieces), 0) FROM parts_pieceentry x
        WHERE x.find_id = f.id AND x.kind = 'identified' AND x.removed_at IS NULL)
