"""The pictures of the story, drawn side by side on the cores of the machine. No Django here."""

import io
import multiprocessing
import os
import signal
import threading
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager


def _jpeg(task: tuple) -> bytes:
    from . import pictures  # in the worker: the drawings take a while to import

    key, seed, rust, ground, size = task
    out = io.BytesIO()
    image = pictures.draw(key, seed=seed, rust=rust, ground=ground, size=size)
    image.save(out, "JPEG", quality=88)
    return out.getvalue()


def drawn(rows: Iterable[dict[str, str]], size: tuple[int, int]) -> Iterator[bytes]:
    """Yield the JPEG bytes of each row of `photos.csv`, in their order.

    Small pictures are drawn here and now; others by as many workers as the machine has cores, four
    at most.
    """
    tasks = [
        (row["drawing"], int(row["seed"]), float(row["rust"]), row["ground"] or None, size)
        for row in rows
    ]
    workers = min(4, os.cpu_count() or 1)
    if workers == 1 or size[0] * size[1] < 100_000:
        yield from map(_jpeg, tasks)
        return
    # Spawned, not forked: a fork would carry along the open database.
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(workers, mp_context=context) as pool:
        with _deaf():
            drawings = pool.map(_jpeg, tasks)
        try:
            yield from drawings
        finally:
            pool.shutdown(wait=False, cancel_futures=True)


@contextmanager
def _deaf() -> Iterator[None]:
    """Let the workers that start here not hear Ctrl+C: whoever waits for them stops them."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
