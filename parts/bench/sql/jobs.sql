-- Each job with pieces still to fit: how many, and how many reached each stage.
decided AS MATERIALIZED (
    SELECT job_id, SUM(decided) AS decided, SUM(fitted) AS fitted, SUM(begun) AS begun,
        SUM(low) AS low, SUM(likely) AS likely, SUM(high) AS high
    FROM (
        SELECT job_id,
            CASE WHEN kind = 'decided' THEN pieces ELSE 0 END AS decided,
            CASE WHEN kind = 'fitted' THEN pieces ELSE 0 END AS fitted,
            CASE WHEN begins THEN pieces ELSE 0 END AS begun,
            NULL AS low, NULL AS likely, NULL AS high
        FROM parts_pieceentry
        WHERE engine_id = :engine AND removed_at IS NULL AND job_id IS NOT NULL
        UNION ALL
        SELECT job_id, 0, 0, 0, paid + low, paid + likely, paid + high
        FROM costs WHERE job_id IS NOT NULL
    )
    GROUP BY job_id
),
jobs AS MATERIALIZED (
    SELECT m.id, m.part_id, m.route, m.who, m.wanted_by, p.item, p.name,
        c.name AS component, COALESCE(NULLIF(m.size, ''), p.size) AS size,
        COALESCE(NULLIF(m.metal, ''), p.material) AS metal,
        COALESCE((
            SELECT g.value FROM parts_measurement g
            WHERE g.part_id = m.part_id AND g.removed_at IS NULL AND g.quantity = 'mass'
                AND LOWER(g.what) = 'mass' ORDER BY g.day DESC, g.id DESC LIMIT 1
        ), p.mass_kg) AS mass,
        d.decided - d.fitted AS pieces, d.begun,
        (SELECT json_group_object(stage, n) FROM (
            SELECT f.stage, SUM(f.pieces) AS n FROM parts_pieceentry f
            WHERE f.job_id = m.id AND f.removed_at IS NULL AND f.kind = 'stage'
            GROUP BY f.stage)) AS reached,
        d.low, d.likely, d.high
    FROM decided d
    JOIN parts_job m ON m.id = d.job_id
    JOIN parts_part p ON p.id = m.part_id
    JOIN parts_component c ON c.id = p.component_id
    WHERE d.decided > d.fitted AND m.removed_at IS NULL
)
