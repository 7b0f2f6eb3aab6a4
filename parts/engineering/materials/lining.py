"""The materials of the record: their words, and how their cut faces are lined on drawings."""

from types import MappingProxyType

WORDS = MappingProxyType(
    {
        "cast_iron": "cast iron",
        "steel": "steel",
        "wrought_iron": "wrought iron",
        "brass": "brass",
        "bronze": "bronze",
        "copper": "copper",
        "white_metal": "white metal",
        "lead": "lead",
        "aluminium": "aluminium",
        "wood": "wood",
        "leather": "leather",
        "rubber": "rubber",
        "packing": "packing",
        "glass": "glass",
        "stone": "stone",
        "brick": "brick",
        "not_known": "not known",
    }
)
"""The materials of the record and their words."""

LINING = MappingProxyType(
    {
        "cast_iron": "even single lines",
        "steel": "lines in pairs",
        "wrought_iron": "solid and broken lines by turns",
        "brass": "solid and dashed lines by turns",
        "bronze": "solid and dashed lines by turns",
        "copper": "two solid lines and one dashed",
        "white_metal": "lines crossed both ways",
        "lead": "solid lines with rows of dots between",
        "aluminium": "solid lines crossed by dashes",
        "wood": "level waved grain",
        "leather": "level staggered dashes",
        "rubber": "level staggered dashes",
        "packing": "level staggered dashes",
        "glass": "loose groups of lines",
        "stone": "short loose strokes in groups",
        "brick": "short loose strokes in groups",
        "not_known": "blank",
    }
)
"""How the cut face of each material is lined on drawings."""
