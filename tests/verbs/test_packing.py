"""A project as one file: what goes in, what stays, and what a file made to harm can do (nothing)."""

from __future__ import annotations

import io
import json
import os
import stat
import zipfile
from pathlib import Path

import pytest

from slowflight import verbs
from slowflight.errors import InputError
from slowflight.project import write_demo
from slowflight.verbs import packed_file


@pytest.fixture(name="project")
def fixture_project(tmp_path: Path) -> Path:
    folder = tmp_path / "own"
    write_demo(folder)
    for name, text in {
        "layout/layout.json": json.dumps({"kind": "layout", "files": [str(folder / "layout" / "row.svg")]}),
        "layout/row.svg": "<svg/>",
        "flights/flights.json": json.dumps({"kind": "flights", "from": f"{folder}/flights/logs/a.csv"}),
        "flights/logs/a.csv": "t\n",
        "report/index.html": "<p>read</p>",
        "desk/run.json": "{}",
        "desk/uploads/a.csv": "t\n",
        ".secret": "no",
        ".rib.csv.part": "no",
        "runs/0267fbe2fed144fdc8caba0f.json": "{}",
        "layout/.hidden.json": "{}",
        "layout/run.exe": "no",
        "diary.doc": "no",
    }.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def names_in(file: Path) -> set[str]:
    with zipfile.ZipFile(file) as archive:
        return set(archive.namelist())


def archive_of(entries: list[tuple[str | zipfile.ZipInfo, bytes]], file: Path) -> Path:
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in entries:
            archive.writestr(name, content)
    return file


def test_there_and_back_with_nothing_of_the_machine(project: Path, tmp_path: Path) -> None:
    os.utime(project / "rib.csv", (1.6e9, 1.6e9))
    made = verbs.pack(project)
    file = Path(made["file"])
    assert file == tmp_path / "own.zip"
    expected = {
        "READ-FIRST.txt", "wing.toml", "rib.csv", "layout/layout.json", "layout/row.svg",
        "flights/flights.json", "flights/logs/a.csv", "report/index.html",
    }  # fmt: skip
    assert names_in(file) == expected
    assert made["logs"]
    verbs.unpack(file, tmp_path / "other")
    for name in ("wing.toml", "rib.csv", "report/index.html"):
        assert (tmp_path / "other" / name).read_bytes() == (project / name).read_bytes()
    assert abs((tmp_path / "other" / "rib.csv").stat().st_mtime - 1.6e9) < 2.1
    for path in (tmp_path / "other").rglob("*.json"):
        assert str(project) not in path.read_text(encoding="utf-8")
    read_first = (tmp_path / "other" / "READ-FIRST.txt").read_text(encoding="utf-8")
    assert "This aircraft only, owner-measured, not approved" in read_first
    assert all(caution in read_first for caution in packed_file.CAUTIONS)
    assert not list((tmp_path / "other").glob(".*"))
    assert names_in(Path(verbs.pack(tmp_path / "other")["file"])) == expected


def test_logs_can_stay_at_home(project: Path, tmp_path: Path) -> None:
    made = verbs.pack(project, tmp_path / "thin.zip", logs=False)
    assert not any(name.startswith("flights/logs") for name in names_in(tmp_path / "thin.zip"))
    assert not made["logs"]


def test_links_are_not_followed(project: Path, tmp_path: Path) -> None:
    outside = tmp_path / "private"
    outside.mkdir()
    (outside / "key.csv").write_text("secret", encoding="utf-8")
    (project / "key.csv").symlink_to(outside / "key.csv")
    (project / "measure").symlink_to(outside)
    (project / "flights" / "more").symlink_to(outside)
    verbs.pack(project, tmp_path / "out.zip")
    assert not any("key" in name for name in names_in(tmp_path / "out.zip"))


def test_a_file_that_the_wing_names_elsewhere_is_told_of(project: Path, tmp_path: Path) -> None:
    (tmp_path / "far.csv").write_text("x", encoding="utf-8")
    text = (project / "wing.toml").read_text(encoding="utf-8")
    (project / "wing.toml").write_text(text.replace('"rib.csv"', '"../far.csv"'), encoding="utf-8")
    assert verbs.pack(project)["outside"] == ["../far.csv"]


def test_another_ending_is_refused(project: Path) -> None:
    with pytest.raises(InputError, match=r"\.zip"):
        verbs.pack(project, project / "own.tar")


def link(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name)
    entry.external_attr = (stat.S_IFLNK | 0o777) << 16
    return entry


@pytest.mark.parametrize(
    ("bad", "said"),
    [
        ("../evil.csv", "leads out"),
        ("/etc/evil.csv", "leads out"),
        ("runs/../../evil.csv", "leads out"),
        ("..\\evil.csv", "leads out"),
        ("C:/evil.csv", "leads out"),
        ("runs/evil.exe", "belongs to no project"),
        ("desk/run.json", "belongs to no project"),
        ("deep/evil.csv", "belongs to no project"),
        (".hidden.csv", "no plain file name"),
        ("con.csv", "no plain file name"),
        ("a\0b.csv", "no plain file name"),
        ("a\n.csv", "no plain file name"),
        ("runs//evil.json", "no plain file name"),
        ("x" * 300 + ".csv", "no plain file name"),
        ("WING.toml", "twice"),
        (link("rib.csv"), "a link"),
    ],
)
def test_a_file_made_to_harm_leaves_nothing(bad: str | zipfile.ZipInfo, said: str, tmp_path: Path) -> None:
    # One of those names is cut at its zero byte where the library writes it; put it in after.
    text = bad if isinstance(bad, str) else bad.filename
    entry: str | zipfile.ZipInfo = bad if isinstance(bad, zipfile.ZipInfo) else text.replace("\0", "~")
    file = archive_of([("wing.toml", b""), (entry, b"evil")], tmp_path / "in.zip")
    file.write_bytes(file.read_bytes().replace(b"a~b.csv", b"a\0b.csv"))
    with pytest.raises(InputError, match=said) as refused:
        verbs.unpack(file, tmp_path / "new" / "deep")
    assert "nothing was opened" in str(refused.value)
    assert sorted(path.name for path in tmp_path.rglob("*")) in (["in.zip"], ["in.zip", "new"])


def test_bombs_are_counted_as_they_come_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(packed_file, "LARGEST_FILE", 2**20)
    file = archive_of([("wing.toml", b""), ("rib.csv", b"0" * 2**22)], tmp_path / "in.zip")
    with pytest.raises(InputError, match="more than 1 MB in one file"):
        verbs.unpack(file, tmp_path / "new")
    # The archive lies about the size, in its list and before the file.
    true, claimed = (2**22).to_bytes(4, "little"), (9).to_bytes(4, "little")
    file.write_bytes(file.read_bytes().replace(true, claimed))
    with pytest.raises(InputError):
        verbs.unpack(file, tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_too_many_files_and_too_much_in_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    entries: list[tuple[str | zipfile.ZipInfo, bytes]] = [("wing.toml", b"")]
    entries += [(f"rib-{number}.csv", b"0" * 2**20) for number in range(4)]
    file = archive_of(entries, tmp_path / "in.zip")
    monkeypatch.setattr(packed_file, "LARGEST_ALL", 3 * 2**20)
    with pytest.raises(InputError, match="more than 3 MB in all files"):
        verbs.unpack(file, tmp_path / "new")
    monkeypatch.setattr(packed_file, "MOST_FILES", 3)
    with pytest.raises(InputError, match="5 files"):
        verbs.unpack(file, tmp_path / "new")


@pytest.mark.parametrize("content", [b"", b"no archive", b"PK\x03\x04" + b"\0" * 40])
def test_what_is_no_archive_is_refused(content: bytes, tmp_path: Path) -> None:
    (tmp_path / "in.zip").write_bytes(content)
    with pytest.raises(InputError, match="no readable zip archive"):
        verbs.unpack(tmp_path / "in.zip", tmp_path / "new")


def test_a_torn_archive_and_a_false_record_are_refused(tmp_path: Path) -> None:
    whole = archive_of([("wing.toml", b"a" * 99)], tmp_path / "in.zip").read_bytes()
    at = whole.index(b"wing.toml") + 9
    (tmp_path / "torn.zip").write_bytes(whole[:at] + b"\xff\xff" + whole[at + 2 :])
    with pytest.raises(InputError, match="no readable zip archive"):
        verbs.unpack(tmp_path / "torn.zip", tmp_path / "new")
    for content in (b"{", b"[]", b'{"kind": "layout"}', b"[" * 100_000):
        file = archive_of([("wing.toml", b""), ("runs/prediction.json", content)], tmp_path / "b.zip")
        with pytest.raises(InputError, match="no such record"):
            verbs.unpack(file, tmp_path / "new")


def test_only_a_project_and_only_into_an_empty_folder(project: Path, tmp_path: Path) -> None:
    file = archive_of([("rib.csv", b"")], tmp_path / "in.zip")
    with pytest.raises(InputError, match=r"no wing\.toml"):
        verbs.unpack(file, tmp_path / "new")
    before = (project / "wing.toml").read_bytes()
    with pytest.raises(InputError, match="nothing is overwritten"):
        verbs.unpack(verbs.pack(project)["file"], project)
    assert (project / "wing.toml").read_bytes() == before
    with pytest.raises(InputError, match="no such file"):
        verbs.unpack(tmp_path / "none.zip", tmp_path / "new")


def test_a_password_is_refused(tmp_path: Path) -> None:
    buffer = io.BytesIO(archive_of([("wing.toml", b"x")], tmp_path / "in.zip").read_bytes())
    content = bytearray(buffer.getvalue())
    # Flag bit 0 of the local header and of the list: "encrypted".
    content[6] |= 1
    content[content.index(b"PK\x01\x02") + 8] |= 1
    (tmp_path / "in.zip").write_bytes(content)
    with pytest.raises(InputError, match="password"):
        verbs.unpack(tmp_path / "in.zip", tmp_path / "new")
