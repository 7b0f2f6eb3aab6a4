"""The trade floor: the sums of the job.

Plain Python with NumPy and the HiGHS solver. No Django, no database, no clock: every entry comes
in as an argument. Each module is one craft. NumPy and the solver load inside the functions that
use them, so that importing a craft costs nothing at the start of the app.
"""
