-- Each making with pieces still to fit: how many, and how many reached each stage.
decided AS (
    SELECT making_id,
        SUM(CASE WHEN kind = 'decided' THEN pieces ELSE 0 END) AS decided,
        SUM(CASE WHEN kind = 'fitted' THEN pieces ELSE 0 END) AS fitted,
        SUM(CASE WHEN begins THEN pieces ELSE 0 END) AS begun
    FROM parts_fact
    WHERE engine_id = :engine AND removed_at IS NULL AND making_id IS NOT NULL
    GROUP BY making_id
),
stages AS (
    SELECT making_id, json_group_object(stage, n) AS reached
    FROM (
        SELECT making_id, stage, SUM(pieces) AS n FROM parts_fact
        WHERE engine_id = :engine AND removed_at IS NULL AND kind = 'stage'
        GROUP BY making_id, stage
    )
    GROUP BY making_id
),
masses AS (
    SELECT part_id, value FROM (
        SELECT part_id, value,
            ROW_NUMBER() OVER (PARTITION BY part_id ORDER BY day DESC, id DESC) AS place
        FROM parts_measurement
        WHERE engine_id = :engine AND removed_at IS NULL AND quantity = 'mass'
            AND LOWER(what) = 'mass' AND part_id IS NOT NULL
    ) WHERE place = 1
),
spent AS (
    SELECT making_id, SUM(paid + low) AS low, SUM(paid + likely) AS likely, SUM(paid + high) AS high
    FROM costs WHERE making_id IS NOT NULL GROUP BY making_id
),
makings AS (
    SELECT m.id, m.part_id, m.route, m.who, m.wanted_by, p.item, p.name,
        c.name AS component, COALESCE(NULLIF(m.size, ''), p.size) AS size,
        COALESCE(NULLIF(m.metal, ''), p.material) AS metal,
        COALESCE(g.value, p.mass_kg) AS mass, d.decided - d.fitted AS pieces, d.begun, s.reached,
        k.low, k.likely, k.high
    FROM parts_making m
    JOIN decided d ON d.making_id = m.id AND d.decided > d.fitted
    JOIN parts_part p ON p.id = m.part_id
    JOIN parts_component c ON c.id = p.component_id
    LEFT JOIN stages s ON s.making_id = m.id
    LEFT JOIN masses g ON g.part_id = m.part_id
    LEFT JOIN spent k ON k.making_id = m.id
    WHERE m.engine_id = :engine AND m.removed_at IS NULL
)
