"""No sum is made over rows that a second join has multiplied.

Two calls of `filter` (or `exclude`) that each go through the same relation to many rows join it
twice: a sum, count or greatest over it then adds each row as often as the other join has rows.
"""

import ast
from pathlib import Path

import pytest
from django.apps import apps

ROOT = Path(__file__).parents[1] / "parts"
ADDING = {"Sum", "Count", "Avg"}


def many():
    """The names by which queries go from a row to many others."""
    names = set()
    for model in apps.get_app_config("parts").get_models():
        for field in model._meta.get_fields():
            if field.one_to_many or field.many_to_many:
                names.add(field.name)
    return names


def calls_of(node):
    """The calls of a chain such as `rows.filter(…).annotate(…)`, the first called first."""
    chain = []
    while isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
        chain.append(node)
        node = node.func.value
    return chain[::-1]


def relations(call, names):
    """The relations to many rows that a call names, in keywords or in text, and whether it adds."""
    said = {
        word.value if isinstance(word, ast.Constant) else word.arg
        for word in ast.walk(call)
        if isinstance(word, ast.keyword | ast.Constant)
    }
    return {w.split("__")[0] for w in said if isinstance(w, str) and "__" in w} & names


def doubled(source, names):
    """The lines on which a chain joins one relation twice, and those that add over two."""
    lines = set()
    for node in ast.walk(ast.parse(source)):
        joined, adds, added = [], False, set()
        for call in calls_of(node) if isinstance(node, ast.Call) else ():
            arguments = ast.Call(ast.Name("x"), call.args, call.keywords)
            found = relations(arguments, names)
            if call.func.attr in ("filter", "exclude"):
                joined += found
            elif call.func.attr in ("annotate", "aggregate") and any(
                isinstance(part, ast.Name) and part.id in ADDING for part in ast.walk(arguments)
            ):
                adds, added = True, added | found
        if (adds and len(joined) > len(set(joined))) or len(added) > 1:
            lines.add(node.lineno)
    return sorted(lines)


def test_no_sum_is_made_over_a_relation_that_is_joined_twice():
    names = many()
    found = {str(p): doubled(p.read_text(encoding="utf-8"), names) for p in ROOT.rglob("*.py")}
    assert len(found) > 200
    assert {path: lines for path, lines in found.items() if lines} == {}


@pytest.mark.parametrize(
    ("chain", "lines"),
    [
        ('P.filter(entries__x=1).filter(entries__y=None).annotate(n=Sum("entries__pieces"))', [1]),
        ('P.filter(entries__x=1).exclude(**{"entries__y": 1}).aggregate(n=Count("pk"))', [1]),
        ('P.annotate(a=Sum("entries__n"), b=Count("notes__pk"))', [1]),
        ('P.filter(entries__x=1, entries__y=None).annotate(n=Sum("entries__pieces"))', []),
    ],
)
def test_what_multiplies_is_seen(chain, lines):
    assert doubled(chain, {"entries", "notes"}) == lines
