"""Some measure photos, others click elsewhere: ``python -m tests.benchmarks.photos_at_once [SESSIONS] [ROUNDS]``.

One process, as the app is one, on the demonstration lab (simulated). Sessions measure a photo of 24 megapixels
(simulated) with the shot before it, a JPEG or a raw file, again and again, each in the thread of its job, while pages
of another case are drawn again and again: case, result, readings. The ways take turns every few seconds, so that what
else the machine does meets all of them; medians.
"""

from __future__ import annotations

import logging
import os
import sys
import tempfile
import threading
import time
from dataclasses import replace
from pathlib import Path
from statistics import median

from tests.benchmarks.planning_at_once import clicks, elsewhere, ninth

WAYS = ("alone", "jpg", "dng")
SECONDS = 6.0


def main(sessions: int = 2, rounds: int = 6) -> None:
    """Measure in turn, and print medians over all rounds."""
    from stainbook.files.scene import read_scene
    from stainbook.lab import Lab
    from stainbook.work.app.demo import make_demo_book
    from stainbook.work.photo.photo_desk import OpenedPhoto
    from stainbook.work.reading.dropped import Dropped
    from tests.benchmarks.test_photo import pictures

    logging.disable(logging.CRITICAL)
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        os.environ["STAINBOOK_BOOK"] = make_demo_book(folder)
        pictures(folder, 24)
        lab, pages = Lab.open(os.environ["STAINBOOK_BOOK"]), elsewhere()
        table, scene = Dropped("target.txt", (folder / "target.txt").read_bytes()), read_scene(folder / "scene.yaml")
        desks = {
            kind: OpenedPhoto(Dropped(f"p.{kind}", (folder / f"p.{kind}").read_bytes()), table, scene)
            for kind in WAYS[1:]
        }
        seen: dict[str, list[list[float]]] = {way: [] for way in WAYS}
        photos: dict[str, list[float]] = {way: [] for way in WAYS}
        for _ in range(rounds):
            for way in WAYS:
                seen[way].append(_clicks(lab, pages, desks.get(way), sessions, photos[way]))
        lab.close()
    print(f"{sessions} sessions, {rounds} rounds; load {os.getloadavg()[0]:.1f}")
    print(f"{'':6} {'clicks':>7} {'ms':>6} {'9 in 10':>8} {'times alone':>12} {'photos':>7} {'s each':>7}")
    for way in WAYS:
        times = median(median(one) / median(alone) for one, alone in zip(seen[way], seen["alone"], strict=True))
        each = [took for one in seen[way] for took in one]
        line = f"{way:6} {len(each):7} {1000 * median(each):6.0f} {1000 * ninth(each):8.0f} {times:12.2f} "
        print(f"{line}{len(photos[way]):7} {median(photos[way]) if photos[way] else 0:7.1f}")


def _clicks(lab: object, pages: list[object], desk: object, sessions: int, photos: list[float]) -> list[float]:
    """Seconds of each click for a while, meanwhile sessions measure a picture, where there is one."""
    from stainbook.work.photo.photo_colours import PhotoAsked

    over = threading.Event()

    def session() -> None:
        before = replace(desk, image=replace(desk.image, name=f"before-{desk.image.name}"))
        while not over.is_set():
            began = time.perf_counter()
            job = lab.photo.begin(lab.photo.measured, desk, PhotoAsked(), before, mapped=True)
            while not job.wait(0.1) and not over.is_set():
                pass
            job.stop()
            if not over.is_set():
                job.result()
                photos.append(time.perf_counter() - began)

    threads = [threading.Thread(target=session) for _ in range(sessions if desk is not None else 0)]
    for one in threads:
        one.start()
    threading.Timer(SECONDS, over.set).start()
    found = clicks(pages, over, 3)
    for one in threads:
        one.join()
    time.sleep(2.0)  # what was stopped ends
    return found


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
