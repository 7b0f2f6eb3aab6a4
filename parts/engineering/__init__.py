"""The calculations, a folder for each craft.

Plain Python with NumPy and the HiGHS solver. No Django, no database, no clock: every figure comes
in as an argument. NumPy and the solver are imported inside the functions that use them, so that
they do not slow the start of the app.
"""
