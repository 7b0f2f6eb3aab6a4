"""Tables as CSV, each compared with its full text."""

from datetime import date

import pytest

from parts.drafting.table_csv import cell, table
from parts.money.queries.costs import cost_lines
from parts.money.queries.tally import cost_tally
from parts.money.sheets import costs_csv, tally_csv
from parts.record.actions import entries
from parts.workshop.jobs.queries.jobs import parts_to_make
from parts.workshop.jobs.sheets.lists import make_csv, to_decide_csv
from tests import make

DAY = date(2026, 3, 1)


def text(*lines: str) -> bytes:
    return ("\ufeff" + "".join(f"{line}\r\n" for line in lines)).encode()


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_formulas_are_made_text(start):
    assert cell(f"{start}SUM(A1)") == f"'{start}SUM(A1)"


def test_numbers_are_plain():
    assert [cell(v) for v in (-3, -0.5, 22.0, 1200.0, 1 / 3, True, None)] == [
        "-3",
        "-0.5",
        "22",
        "1200",
        "0.333",
        "yes",
        "",
    ]


def test_table_has_a_byte_order_mark_and_cr_lf():
    assert table(["a", "b"], [["x, y", 'say "so"'], ["two\nlines", "=1"]]) == (
        '\ufeffa,b\r\n"x, y","say ""so"""\r\n"two\nlines",\'=1\r\n'.encode()
    )


@pytest.fixture
def engine(db):
    engine = make.engine(name="Harrow Gap sawmill engine")
    bed = make.component(engine, number=1, name="Bed")
    bolts = make.part(
        engine, 8, item=24, name="=Cover studs", component=bed, material="steel",
        size="7/8 in × 4 in", mass_kg=0.35, usual_route="machine", fastener=True,
    )  # fmt: skip
    job = entries.decide(
        bolts,
        "machine",
        6,
        day=DAY,
        by=None,
        who="Ned",
        wanted_by=date(2026, 6, 1),
        reason="+ spares",
    )
    entries.reach(job, "machined", 2, day=DAY, by=None)
    make.cost(
        engine, "fasteners", ("estimated", DAY, 80, 100, 140), ("paid", DAY, "12.50"),
        what="Bar, 7/8 in", job=job, supplier="@ the stockist",
    )  # fmt: skip
    make.cost(engine, "hire", ("ordered", DAY, 60), what="A crane for a day")
    return engine


def test_parts_to_make_table(engine):
    name, kind, content = make_csv(parts_to_make(engine, DAY), engine.name)
    assert name == "harrow-gap-sawmill-engine-parts-to-make-2026-03-01.csv"
    assert kind == "text/csv; charset=utf-8"
    assert content == text(
        "item,part,component,state,how,stage,next,pieces,decided,fitted,size,metal,mass each kg,"
        "mass all kg,mass all lb,mass known from,who,wanted by,cost low,cost likely,cost high,"
        "spent,currency,why this way",
        "24,'=Cover studs,Bed,missing,machine,2 of 6 machined,machined,6,6,0,7/8 in × 4 in,Steel,"
        "0.35,2.1,4.63,typed,Ned,2026-06-01,80.00,100.00,140.00,12.50,GBP,'+ spares",
    )


def test_parts_to_decide_table(engine):
    _, _, content = to_decide_csv(parts_to_make(engine, DAY), engine.name)
    assert content == text(
        "item,part,component,missing,beyond repair,size,material,usually,fastener",
        "24,'=Cover studs,Bed,2,0,7/8 in × 4 in,Steel,machine,yes",
    )


def test_cost_tally_table(engine):
    """Spent 12.50; to come 67.50–87.50–127.50 of the bar and 60 of the crane."""
    name, _, content = tally_csv(cost_tally(engine, DAY), engine.name)
    assert name == "harrow-gap-sawmill-engine-cost-tally-2026-03-01.csv"
    assert content == text(
        "by,of,costs,spent,ordered not paid,to come low,to come likely,to come high,"
        "total low,total likely,total high,currency",
        "heading,Fasteners,1,12.50,0.00,67.50,87.50,127.50,80.00,100.00,140.00,GBP",
        "heading,Castings,0,0.00,0.00,0.00,0.00,0.00,0.00,0.00,0.00,GBP",
        "heading,Hire,1,0.00,60.00,60.00,60.00,60.00,60.00,60.00,60.00,GBP",
        "component,1 Bed,1,12.50,0.00,67.50,87.50,127.50,80.00,100.00,140.00,GBP",
        "component,Not assigned,1,0.00,60.00,60.00,60.00,60.00,60.00,60.00,60.00,GBP",
        "basis,Estimated,,0.00,0.00,67.50,87.50,127.50,67.50,87.50,127.50,GBP",
        "basis,Quoted,,0.00,0.00,0.00,0.00,0.00,0.00,0.00,0.00,GBP",
        "basis,Ordered,,0.00,60.00,60.00,60.00,60.00,60.00,60.00,60.00,GBP",
        "basis,Paid,,12.50,0.00,0.00,0.00,0.00,12.50,12.50,12.50,GBP",
        "month,2026-03,,12.50,,,,,,,,GBP",
        "all,All costs,2,12.50,60.00,127.50,147.50,187.50,140.00,160.00,200.00,GBP",
    )


def test_costs_table(engine):
    name, _, content = costs_csv(cost_lines(engine), engine.name, engine.currency, DAY)
    assert name == "harrow-gap-sawmill-engine-costs-2026-03-01.csv"
    assert content == text(
        "heading,what,supplier,component,item,part,basis,spent,ordered not paid,to come low,"
        "to come likely,to come high,total likely,nothing more to pay,currency",
        "Fasteners,\"Bar, 7/8 in\",'@ the stockist,Bed,24,'=Cover studs,Estimated,12.50,0.00,"
        "67.50,87.50,127.50,100.00,no,GBP",
        "Hire,A crane for a day,,,,,Ordered,0.00,60.00,60.00,60.00,60.00,60.00,no,GBP",
    )
