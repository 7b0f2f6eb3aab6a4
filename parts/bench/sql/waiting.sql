-- Castings that wait to be poured, each with what one of it weighs, and the crucibles.
WITH told AS (
    SELECT job_id,
        SUM(CASE WHEN kind = 'decided' THEN pieces ELSE 0 END) AS decided,
        SUM(CASE WHEN kind = 'stage' AND stage = 'poured' THEN pieces ELSE 0 END) AS poured
    FROM parts_pieceentry
    WHERE engine_id = :engine AND removed_at IS NULL AND job_id IS NOT NULL
    GROUP BY job_id),
planned AS (
    SELECT c.job_id, SUM(c.pieces) AS pieces
    FROM parts_pourcasting c JOIN parts_pour p ON p.id = c.pour_id
    WHERE c.engine_id = :engine AND c.removed_at IS NULL AND p.poured_on IS NULL
    GROUP BY c.job_id),
weighed AS (
    SELECT part_id, value FROM (
        SELECT part_id, value, ROW_NUMBER() OVER (PARTITION BY part_id ORDER BY day DESC, id DESC) AS n
        FROM parts_measurement
        WHERE engine_id = :engine AND removed_at IS NULL AND quantity = 'mass'
            AND what LIKE 'mass' AND part_id IS NOT NULL)
    WHERE n = 1)
SELECT 'waiting', m.id, p.item, p.name, COALESCE(NULLIF(m.metal, ''), p.material),
    told.decided - told.poured - COALESCE(planned.pieces, 0), COALESCE(weighed.value, p.mass_kg)
FROM told JOIN parts_job m ON m.id = told.job_id JOIN parts_part p ON p.id = m.part_id
LEFT JOIN planned ON planned.job_id = m.id
LEFT JOIN weighed ON weighed.part_id = p.id
WHERE m.route = 'cast' AND m.removed_at IS NULL AND p.removed_at IS NULL
    AND told.decided > told.poured
UNION ALL
SELECT 'crucible', id, NULL, name, NULL, NULL, carries_kg FROM parts_crucible
WHERE engine_id = :engine AND removed_at IS NULL
