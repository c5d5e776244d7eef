"""A file from a stranger is read and nothing else: no code, no way out, no network, no terminal control."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from tests.faults import inputs
from tests.faults.harness import MARKS, Outcome, Typed, run

EVIL = "\x1b[31mred\x1b]0;title\x07\x9b2J\u202eback\u2066\x7f\x85\u200f"
"""Colours, the window's title, a cleared screen, turned text: what a terminal obeys."""

YAML_TRICKS = (
    "!!python/object/apply:os.system ['touch TOUCHED']",
    "!!python/name:os.system",
    "!!python/object/new:os.system [x]",
    "!<tag:yaml.org,2002:python/object/apply:subprocess.call> [[touch, TOUCHED]]",
    "!include /etc/passwd",
    "!ENV ${HOME}",
    "${HOME}",
    "$(touch TOUCHED)",
    "`touch TOUCHED`",
    "{{ 7*7 }}",
    "%(home)s",
    "{0.__class__}",
    "=cmd|' /C calc'!A0",
    "&a [*a]",
    "<<: *a",
    "../../../../etc/passwd",
    "/etc/passwd",
    "file:///etc/passwd",
    "http://example.invalid/x.yaml",
    "\\\\host\\share",
)

PART = """\
format: 1
sources:
  main: {title: "T"}
parts:
  - part: "%s"
    kind: reflective
    notes: "%s"
"""


@pytest.fixture
def work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in with the examples, and a home beside it."""
    folder = tmp_path / "work"
    folder.mkdir()
    monkeypatch.chdir(folder)
    monkeypatch.setenv("XREF_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("HOME", str(tmp_path / "nobody"))
    for path in inputs.EXAMPLES.glob("*.yaml"):
        shutil.copy(path, folder)
    return folder


def harmless(done: Outcome) -> bool:
    """Nothing in the output but text and line breaks."""
    return all(char == "\n" or (char.isprintable() and char not in MARKS) for char in done.out + done.err)


def readers(name: str) -> list[list[str]]:
    """Every command line that reads a file of that name."""
    lines = [
        ["part", "check"],
        ["part", "show"],
        ["expect"],
        ["assess"],
        ["find", "--site"],
        ["workaround"],
        ["identify", "--job"],
        ["part", "add", "--yes", "--from"],
        ["stock", "import", "--dry-run"],
        ["stock", "import"],
        ["stock", "restore", "--yes"],
    ]
    return [[*line, name] for line in lines] + [
        ["fit", name, "CNY70"],
        ["fit", "TCRT5000", name],
        ["sheet", name],
        ["log", name, "--lit", "1V", "--donor", "CNY70"],
    ]


@pytest.mark.parametrize("trick", YAML_TRICKS)
def test_tricks_in_a_file_do_nothing(trick: str, work: Path) -> None:
    """In a part, a job, a network and a table: no process, no socket, no file outside the home."""
    job = (work / "arm-park.yaml").read_text()
    network = (work / "ring-selector.yaml").read_text()
    quoted = trick.replace("\\", "\\\\").replace('"', '\\"')
    texts = {
        "a.yaml": f"format: 1\nparts: {trick}\n",
        "b.yaml": PART % (quoted, quoted),
        "c.yaml": f"{job}\njob: {trick}\n",
        "d.yaml": job.replace("job:", f"job: {trick} #", 1),
        "e.yaml": network.replace("machine:", f"machine: {trick} #", 1),
        "f.csv": inputs.TABLE.replace("RS100", f'"{trick}"'.replace('"', '""')[1:-1] if '"' in trick else trick),
    }
    for number, (name, text) in enumerate(texts.items()):
        (work / name).write_text(text)
        for args in readers(name)[number % 2 :: 2]:
            done = run(args)

            assert done.raised is None, (args, done.raised)
            assert done.forbidden == [], args
            assert harmless(done), args
            written = [p for p in done.written if not p.startswith((str(work.parent / "home"), "/dev/"))]
            assert all(Path(p).parent == work for p in written), (args, written)
            assert "root:" not in done.out + done.err, args
    assert not list(work.parent.rglob("TOUCHED*"))


def test_a_part_cannot_leave_its_folder(work: Path) -> None:
    """A name that is a path becomes a file in the user's own folder, or is refused."""
    home = work.parent / "home"
    for number, name in enumerate(
        ("../../evil", "/tmp/evil", "a/b", "..", ".", "C:\\evil", "nul\\x", "x" * 300, "-rf", "~/evil")
    ):
        (work / f"{number}.yaml").write_text(PART % (name.replace("\\", "\\\\"), "n"))
        done = run(["part", "add", "--from", f"{number}.yaml", "--yes"])

        assert done.raised is None
        assert all(path.startswith((str(home), "/dev/")) for path in done.written), (
            name,
            done.written,
        )
    assert {path.parent for path in home.rglob("*.yaml")} <= {home / "parts"}


def test_names_that_steer_a_terminal(work: Path) -> None:
    """In every text of a part, a job and the command line: shown harmless, and faithful in --json."""
    shown = "name" + EVIL
    for args in (
        ["part", shown],
        ["part", shown, "--json"],
        ["find", "--kind", shown],
        ["fit", shown, "CNY70", "--json"],
        [shown],
        ["help", shown],
        ["part", "list", shown, "--json"],
        ["stock", "list", "--place", shown, "--json"],
        ["expect", shown],
        ["log", "list", shown, "--json"],
        ["switch", "fit", shown, shown],
        ["identify", "--leads", "4", shown],
        ["assess", "--test", shown],
        ["part", "sources", shown],
    ):
        done = run(args)
        assert done.raised is None, args
        assert harmless(done), (args, done.out, done.err)
        if "--json" in args:
            json.loads(done.out)


@pytest.mark.parametrize(
    "args",
    [
        ["fit", "TCRT5000", "CNY70", "--svg", "there.svg"],
        ["workaround", "ring-selector.yaml", "--svg", "there.svg"],
        ["sheet", "arm-park.yaml", "--donor", "RPR-220", "--out", "there.html"],
        ["workaround", "there.yaml", "--ask"],
        ["stock", "export", "there.csv"],
    ],
)
def test_a_file_that_is_there_stays(args: list[str], work: Path) -> None:
    """Without --force an existing file is kept byte for byte and the command says so; also a link to a file."""
    target = work / next(word for word in args if word.startswith("there"))
    target.write_text("mine")
    before = set(work.iterdir())

    done = run(args, Typed("x\n"))

    assert done.code in (1, 2, 3), done.out + done.err
    assert target.read_text() == "mine"
    assert set(work.iterdir()) == before


def test_a_link_that_is_there_stays(work: Path) -> None:
    """A link planted under the name of the drawing does not lead to another file being overwritten unasked."""
    (work / "precious").write_text("mine")
    (work / "a.svg").symlink_to(work / "precious")

    kept = run(["fit", "TCRT5000", "CNY70", "--svg", "a.svg"])

    assert kept.code == 2
    assert (work / "precious").read_text() == "mine"


def test_pages_that_are_there_stay(work: Path) -> None:
    """A sheet of several pages writes numbered files; one that is there stops it."""
    (work / "x-1.svg").write_text("mine")
    (work / "x.svg").write_text("mine")

    run(["sheet", "arm-park.yaml", "--donor", "RPR-220", "--out", "x.svg"])

    assert (work / "x-1.svg").read_text() == (work / "x.svg").read_text() == "mine"


def test_drawings_and_pages_carry_no_script(work: Path) -> None:
    """Names of a stranger's part cannot break out of SVG or HTML."""
    name = '</text><script>alert(1)</script><img src=x onerror=y>\\"'
    text = (work / "arm-park.yaml").read_text().replace("job:", f'job: "{name}" #', 1)
    (work / "j.yaml").write_text(text)

    for suffix in ("html", "svg"):
        done = run(["sheet", "j.yaml", "--donor", "RPR-220", "--out", f"x.{suffix}"])
        assert done.raised is None
        for path in work.glob(f"x*.{suffix}"):
            page = path.read_text().lower()
            assert "<script" not in page
            assert "<img" not in page
            assert "http:" not in page.replace("http://www.w3.org/", "")


@pytest.mark.parametrize(
    "name", ["/dev/zero", "/dev/stdin", ".", "/etc/shadow", "/proc/self/mem", "a\x00b", "x" * 5000]
)
def test_things_that_are_no_files(name: str, work: Path) -> None:
    """An endless, absent or forbidden thing in place of a file ends in one line."""
    for args in readers(name.replace("\x00", "")):
        done = run(args)
        assert done.raised is None, (args, done.raised)
        assert done.code in (1, 2, 3), (args, done.out)
