"""``python -m tests`` needs the standard library alone until pytest starts."""

import subprocess
import sys
from pathlib import Path

import pytest

import tests.__main__ as bring

ROOT = Path(__file__).parents[2]


def test_it_loads_the_standard_library_alone():
    script = "import runpy, sys; runpy.run_module('tests.__main__', run_name='looked_at'); print(*sys.modules)"
    done = subprocess.run([sys.executable, "-S", "-c", script], cwd=ROOT, capture_output=True, text=True, check=True)
    top = {name.partition(".")[0] for name in done.stdout.split()}
    assert top - set(sys.stdlib_module_names) <= {"tests", "__main__"}


@pytest.mark.parametrize(
    ("apt", "root", "reason"), [(None, 0, "there is no apt-get"), ("/usr/bin/apt-get", 1000, "this is not root")]
)
def test_what_cannot_be_brought_is_said(monkeypatch, capsys, apt, root, reason):
    monkeypatch.setattr(bring.shutil, "which", lambda name: apt if name == "apt-get" else None)
    monkeypatch.setattr(bring.Path, "glob", lambda *_: iter(()))
    monkeypatch.setattr(bring.os, "geteuid", lambda: root, raising=False)
    monkeypatch.setattr(bring.subprocess, "call", lambda command, **_: 5)
    assert bring.main() == 5
    said = capsys.readouterr().out
    assert f"tests that need Chromium are skipped: {reason}" in said
    assert f"tests that need PostgreSQL are skipped: {reason}" in said


def test_a_failing_apt_is_said_in_one_line(monkeypatch):
    failed = subprocess.CompletedProcess([], 100, stderr="W: something\nE: no network\n")
    monkeypatch.setattr(bring.shutil, "which", lambda name: name)
    monkeypatch.setattr(bring.os, "geteuid", lambda: 0, raising=False)
    monkeypatch.setattr(bring.subprocess, "run", lambda *_, **__: failed)
    assert bring.bring(["chromium"]) == "apt-get update failed: E: no network"


def test_the_lightest_browser_is_driven(monkeypatch):
    there = {"chromium", "google-chrome"}
    monkeypatch.setattr(bring.shutil, "which", lambda name: f"/bin/{name}" if name in there else None)
    assert bring.browser() == "/bin/chromium"
    there.add("chromium-headless-shell")
    assert bring.browser() == "/bin/chromium-headless-shell"
