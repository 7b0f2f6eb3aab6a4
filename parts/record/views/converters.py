"""How a number in an address is read."""

from django.urls.converters import IntConverter


class RowNumber(IntConverter):
    """The number of a row: no more figures than fit a whole number of any database."""

    regex = "[0-9]{1,18}"
