"""What the pages of parts ask of the gate: `{% load parts %}`."""

from django import template

register = template.Library()


@register.simple_tag
def may_mend(access, row):
    """Whether the person may change what this row says."""
    return access.may_mend(row)
