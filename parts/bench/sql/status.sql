-- How the pieces of each part stand: the running totals, capped by the need, set off.
sums AS MATERIALIZED (
    SELECT p.id, p.quantity,
        SUM(CASE WHEN kind = 'left_off' THEN pieces ELSE 0 END) AS left_off,
        SUM(CASE WHEN kind = 'fitted' THEN pieces ELSE 0 END) AS fitted,
        SUM(CASE WHEN kind IN ('fitted', 'placed') THEN pieces
                 WHEN kind = 'beyond_repair_placed' THEN -pieces ELSE 0 END) AS in_place,
        SUM(CASE WHEN kind IN ('fitted', 'identified') THEN pieces
                 WHEN kind IN ('lost', 'beyond_repair', 'beyond_repair_placed') THEN -pieces
                 ELSE 0 END) AS found,
        SUM(CASE WHEN kind = 'identified' OR (kind = 'stage' AND begins) THEN pieces
                 WHEN kind IN ('lost', 'beyond_repair', 'beyond_repair_placed') THEN -pieces
                 ELSE 0 END) AS being_made,
        SUM(CASE WHEN kind IN ('identified', 'decided') THEN pieces
                 WHEN kind IN ('lost', 'beyond_repair', 'beyond_repair_placed') THEN -pieces
                 ELSE 0 END) AS to_be_made,
        SUM(CASE WHEN kind IN ('identified', 'decided') THEN pieces
                 WHEN kind = 'lost' THEN -pieces ELSE 0 END) AS beyond_repair
    FROM parts_part p
    LEFT JOIN parts_pieceentry f ON f.part_id = p.id AND f.removed_at IS NULL
    WHERE p.engine_id = :engine AND p.removed_at IS NULL
    GROUP BY p.id
),
capped AS (
    SELECT id, MAX(quantity - left_off, 0) AS need, fitted, in_place, found, being_made, to_be_made,
        beyond_repair
    FROM sums
),
status AS MATERIALIZED (
    SELECT id, need,
        MIN(fitted, need) AS fitted,
        MIN(in_place, need) - MIN(fitted, need) AS in_place,
        MIN(found, need) - MIN(in_place, need) AS found,
        MIN(being_made, need) - MIN(found, need) AS being_made,
        MIN(to_be_made, need) - MIN(being_made, need) AS to_be_made,
        MIN(beyond_repair, need) - MIN(to_be_made, need) AS beyond_repair,
        need - MIN(beyond_repair, need) AS missing
    FROM capped
)
