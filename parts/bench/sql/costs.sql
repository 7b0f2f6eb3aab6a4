-- Each cost: what it rests on, what is paid, what is still to come.
ranked AS MATERIALIZED (
    SELECT a.item_id, a.basis, a.low, a.likely, a.high,
        ROW_NUMBER() OVER (
            PARTITION BY a.item_id
            ORDER BY CASE a.basis WHEN 'ordered' THEN 3 WHEN 'quoted' THEN 2 ELSE 1 END DESC,
                a.day DESC, a.id DESC
        ) AS place
    FROM parts_costamount a JOIN parts_costitem i ON i.id = a.item_id
    WHERE i.engine_id = :engine AND i.removed_at IS NULL AND a.removed_at IS NULL
        AND a.basis <> 'paid'
),
paid AS MATERIALIZED (
    SELECT a.item_id, SUM(a.likely) AS paid, MAX(a.settles) AS settled
    FROM parts_costamount a JOIN parts_costitem i ON i.id = a.item_id
    WHERE i.engine_id = :engine AND i.removed_at IS NULL AND a.removed_at IS NULL
        AND a.basis = 'paid'
    GROUP BY a.item_id
),
costs AS MATERIALIZED (
    SELECT i.id, i.heading, i.what, i.supplier, i.job_id,
        COALESCE(p.id, mp.id) AS part_id, COALESCE(p.name, mp.name) AS part,
        COALESCE(p.component_id, mp.component_id, i.component_id) AS component_id,
        r.basis, COALESCE(d.paid, 0) AS paid,
        CASE WHEN d.settled THEN 0 ELSE MAX(COALESCE(r.low, 0) - COALESCE(d.paid, 0), 0) END AS low,
        CASE WHEN d.settled THEN 0
             ELSE MAX(COALESCE(r.likely, 0) - COALESCE(d.paid, 0), 0) END AS likely,
        CASE WHEN d.settled THEN 0
             ELSE MAX(COALESCE(r.high, 0) - COALESCE(d.paid, 0), 0) END AS high
    FROM parts_costitem i
    LEFT JOIN parts_part p ON p.id = i.part_id
    LEFT JOIN parts_job m ON m.id = i.job_id
    LEFT JOIN parts_part mp ON mp.id = m.part_id
    LEFT JOIN ranked r ON r.item_id = i.id AND r.place = 1
    LEFT JOIN paid d ON d.item_id = i.id
    WHERE i.engine_id = :engine AND i.removed_at IS NULL
)
