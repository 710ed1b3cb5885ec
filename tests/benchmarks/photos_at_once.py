"""Some measure photos, others click elsewhere: ``python -m tests.benchmarks.photos_at_once [SESSIONS] [ROUNDS]``.

One process, as the app is one, on the demonstration lab (simulated). Sessions measure a photo of 24 megapixels
(simulated) with the shot before it, a JPEG or a raw file, again and again, each in the thread of its job, while pages
of another case are drawn again and again: case, result, readings. A process of its own each time, the ways in turn.
"""

from __future__ import annotations

import json
import logging
import os
import re
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import replace
from pathlib import Path
from statistics import median

from tests.benchmarks.planning_at_once import ELSEWHERE, PAGES, ROOT, clicks, ninth

WAYS = ("alone", "jpg", "dng")
SECONDS = 15.0


def measure(folder: Path, way: str, sessions: int) -> dict[str, object]:
    """Clicks, seconds of each photo, and the most memory, MB."""
    from streamlit.testing.v1 import AppTest

    from stainbook.files.scene import read_scene
    from stainbook.lab import Lab
    from stainbook.pages.case import case_page
    from stainbook.work.photo.photo_colours import PhotoAsked
    from stainbook.work.photo.photo_desk import OpenedPhoto
    from stainbook.work.reading.dropped import Dropped
    from tests.benchmarks.redraws import worked_out

    logging.disable(logging.CRITICAL)
    lab, pages = Lab.open(os.environ["STAINBOOK_BOOK"]), []
    for name in PAGES:
        path = next(Path(case_page.__file__).parents[1].rglob(f"{name}_page.py"))
        page = AppTest.from_file(str(path), default_timeout=600).run()
        for box in page.selectbox:
            if box.key == "case_file":
                box.select(next(one for one in box.options if ELSEWHERE in one)).run()
        pages.append(worked_out(page).run().run())
    over, took = threading.Event(), []
    if way != "alone":
        table = Dropped("target.txt", (folder / "target.txt").read_bytes())
        image = Dropped(f"p.{way}", (folder / f"p.{way}").read_bytes())
        desk = OpenedPhoto(image, table, read_scene(folder / "scene.yaml"))
        before = replace(desk, image=replace(image, name=f"q.{way}"))

    def session() -> None:
        while not over.is_set():
            began = time.perf_counter()
            lab.photo.begin(lab.photo.measured, desk, PhotoAsked(), before, mapped=True).result()
            took.append(time.perf_counter() - began)

    threads = [threading.Thread(target=session) for _ in range(sessions if way != "alone" else 0)]
    for one in threads:
        one.start()
    threading.Timer(SECONDS, over.set).start()
    found = clicks(pages, over, 0)
    for one in threads:
        one.join()
    lab.close()
    most = int(re.search(r"VmHWM:\s+(\d+)", Path("/proc/self/status").read_text())[1]) / 1024
    return {"clicks": found, "photos": took, "MB": most}


def measured(folder: Path, way: str, sessions: int) -> dict[str, object]:
    """`measure` in a process of its own."""
    environment = {**os.environ, "STAINBOOK_BOOK": f"sqlite:///{folder}/lab.db", "OMP_NUM_THREADS": "1"}
    script = "import sys, json; from pathlib import Path; from tests.benchmarks import photos_at_once as one; "
    script += f"print(json.dumps(one.measure(Path({str(folder)!r}), {way!r}, {sessions})))"
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, env=environment, text=True, capture_output=True)
    if done.returncode or "Traceback" in done.stderr:
        sys.exit(done.stderr[-4000:])
    found: dict[str, object] = json.loads(done.stdout.splitlines()[-1])
    return found


def main(sessions: int = 2, rounds: int = 2) -> None:
    """Measure in turn, and print medians over the rounds so far."""
    from stainbook.work.app.demo import make_demo_book
    from tests.benchmarks.test_photo import pictures

    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        make_demo_book(folder)
        pictures(folder, 24)
        taken = []
        for _ in range(rounds):
            taken.append({way: measured(folder, way, sessions) for way in WAYS})
            print(f"{sessions} sessions; {len(taken)} rounds, medians; load {os.getloadavg()[0]:.1f}")
            print(
                f"{'':6} {'clicks':>7} {'ms':>6} {'9 in 10':>8} {'times alone':>12} {'photos':>7} {'s each':>7}    MB"
            )
            for way in WAYS:
                each = [one[way]["clicks"] for one in taken]
                times = median(median(one[way]["clicks"]) / median(one["alone"]["clicks"]) for one in taken)
                photos = [took for one in taken for took in one[way]["photos"]]
                line = f"{way:6} {sum(map(len, each)):7} {1000 * median(map(median, each)):6.0f} "
                line += f"{1000 * median(map(ninth, each)):8.0f} {times:12.2f} {len(photos):7} "
                line += f"{median(photos) if photos else 0:7.1f} {max(one[way]['MB'] for one in taken):6.0f}"
                print(line, flush=True)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
