"""Timed pages and sums, for `manage.py bench`.

`project` makes up a large engine, `pages` times each main page beside one hand-written SQL
statement that fetches the same answer, `engineering` and `sums` time the calculations. The
database is always one that is thrown away; `scratch` sees to it.
"""
