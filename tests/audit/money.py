"""Costs."""

from decimal import Decimal

from parts import models
from tests.audit.page import number, pk_of
from tests.audit.rows import NOTHING


def costs(a):
    raw, page = a.raw, a.get("costs")
    amounts = ("Spent", "Ordered, not paid", "To come", "Likely total")

    def of(money):
        return [money["spent"], money["ordered"], money["to come"][1], money["total"][1]]

    headings = {"other": "Other"} | dict(models.Heading.choices)
    by_heading, by_component = {}, {}
    for pk, row in raw.costs.items():
        by_heading.setdefault(headings[row["heading"]], []).append(pk)
        component = models.Component.everything.filter(pk=raw.component_of_cost(pk)).first()
        by_component.setdefault(str(component) if component else "Not assigned", []).append(pk)
    for head, groups in (("Cost of", by_heading), ("Component", by_component)):
        table = next(page.tables(head, *amounts))
        for row in table.rows:
            a.same(
                page,
                row[head],
                [number(row[h]) for h in amounts],
                of(raw.money(groups.pop(row[head], []))),
            )
        a.same(page, f"{head}, none left out", groups, {})
        a.same(page, f"{head}, all", [number(table.foot[h]) for h in amounts], of(raw.money()))
    basis = page.table("Basis", "Low", "Likely", "High")
    rows = {row["Basis"]: [number(row[h]) for h in ("Low", "Likely", "High")] for row in basis.rows}
    spent = raw.money()["spent"]
    told = {"Paid": [spent] * 3}
    for key, word in (("estimated", "Estimated"), ("quoted", "Quoted"), ("ordered", "Ordered")):
        own = [raw.cost(pk)["to come"] for pk in raw.costs if raw.cost(pk)["basis"] == key]
        told[word] = [sum((one[i] for one in own), NOTHING) for i in range(3)]
    a.same(page, "by basis", rows, told)
    a.same(
        page,
        "all by basis",
        [number(basis.foot[h]) for h in ("Low", "Likely", "High")],
        list(raw.money()["total"]),
    )
    so_far = NOTHING
    for row in page.table("Month", "Spent", "So far").rows if list(page.tables("Month")) else ():
        paid = sum(
            (
                x["likely"]
                for x in raw.amounts
                if x["basis"] == "paid"
                and x["item_id"] in raw.costs
                and raw.bill_of(x) is None
                and f"{x['day']:%b %Y}" == row["Month"]
            ),
            NOTHING,
        )
        so_far += paid
        a.same(page, row["Month"], (number(row["Spent"]), number(row["So far"])), (paid, so_far))
    seen = set()
    for page in a.pages_of("costs"):
        table = page.table("What it is for", "Heading", "Likely total")
        for row in table.rows:
            pk = pk_of(row["href"])
            seen.add(pk)
            one = raw.cost(pk)
            a.same(
                page,
                row["What it is for"],
                [number(row[h]) for h in ("Spent", "To come", "Likely total")],
                [one["spent"], one["to come"][1], one["total"][1]],
            )
        all_of = raw.money()
        a.same(
            page,
            "all costs",
            [number(table.foot[h]) for h in ("Spent", "To come", "Likely total")],
            [all_of["spent"], all_of["to come"][1], all_of["total"][1]],
        )
    a.same("costs", "costs", seen, set(raw.costs))
    lines = a.table_of("costs_csv")
    a.same("costs.csv", "lines", len(lines), len(raw.costs))
    ends = ("spent", "ordered not paid", "to come low", "to come likely", "to come high")
    shown = [sum(Decimal(row[h]) for row in lines) for h in ends]
    a.same("costs.csv", "all", shown, [all_of["spent"], all_of["ordered"], *all_of["to come"]])
    for row in a.table_of("tally_csv"):
        if row["by"] == "all":
            shown = [Decimal(row[h]) for h in (*ends, "total low", "total likely", "total high")]
            a.same(
                "tally.csv",
                "all",
                shown,
                [all_of["spent"], all_of["ordered"], *all_of["to come"], *all_of["total"]],
            )


def cost_pages(a):
    raw = a.raw
    for pk in a.some(raw.costs):
        page, one = a.get("cost", pk), raw.cost(pk)
        told = page.entries()
        a.same(
            page,
            "sums",
            [number(told["Spent"]), number(told["Still to come"])],
            [one["spent"], one["to come"][1]],
        )
        a.same(page, "likely total", page.figure(r"Likely total\s*(\S+)"), one["total"][1])
        a.same(page, "amounts", sum(len(t.rows) for t in page.tables("Day", "Basis")), one["rows"])
