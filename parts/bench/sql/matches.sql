-- The parts that a find may be, best first, of a find without a mass or a length: words of its looks
-- that stand in the name of the part, and its material for or against.
looks AS (
    SELECT ' ' || LOWER(looks_like) || ' ' AS words, material FROM parts_find WHERE id = :find
),
scored AS MATERIALIZED (
    SELECT p.id, p.item, p.name, p.material, p.component_id, p.quantity,
        CASE WHEN words LIKE '% ' || LOWER(SUBSTR(name, 1, INSTR(name, ' ') - 1)) || ' %' THEN 1.5
             ELSE 0 END
        + CASE WHEN words LIKE '% ' || LOWER(SUBSTR(name, INSTR(name, ' ') + 1)) || ' %' THEN 1.5
               ELSE 0 END AS named,
        CASE WHEN 'not_known' IN (p.material, looks.material) THEN 0
             WHEN p.material = looks.material THEN 1.5
             WHEN p.material IN ('cast_iron', 'steel', 'wrought_iron')
                 AND looks.material IN ('cast_iron', 'steel', 'wrought_iron') THEN 0.5
             WHEN p.material IN ('brass', 'bronze', 'copper')
                 AND looks.material IN ('brass', 'bronze', 'copper') THEN 0.5
             WHEN p.material IN ('white_metal', 'lead')
                 AND looks.material IN ('white_metal', 'lead') THEN 0.5
             ELSE -6 END AS of_material
    FROM parts_part p, looks WHERE p.engine_id = :engine AND p.removed_at IS NULL
),
likely AS (
    SELECT *, named + of_material AS points FROM scored WHERE named > 0 AND named + of_material > 0
    ORDER BY points DESC, item LIMIT 200
),
stands AS (
    SELECT k.id, k.item, k.name, k.points, k.quantity
            - SUM(CASE WHEN kind = 'left_off' THEN pieces ELSE 0 END) AS need,
        SUM(CASE WHEN kind IN ('fitted', 'identified') THEN pieces
                 WHEN kind IN ('lost', 'beyond_repair', 'beyond_repair_placed') THEN -pieces
                 ELSE 0 END) AS found,
        SUM(CASE WHEN kind IN ('identified', 'decided') THEN pieces
                 WHEN kind IN ('lost', 'beyond_repair', 'beyond_repair_placed') THEN -pieces
                 ELSE 0 END) AS to_be_made,
        SUM(CASE WHEN kind IN ('identified', 'decided') THEN pieces
                 WHEN kind = 'lost' THEN -pieces ELSE 0 END) AS known
    FROM likely k LEFT JOIN parts_pieceentry f ON f.part_id = k.id AND f.removed_at IS NULL
    GROUP BY k.id
),
matches AS (
    SELECT id, item, name FROM stands
    WHERE MIN(to_be_made, need) > MIN(found, need) OR need > MIN(known, need)
    ORDER BY points + 0.25 * (need > MIN(known, need)) DESC, item LIMIT 5
)
