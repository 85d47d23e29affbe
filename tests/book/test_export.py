"""Everything out and back: nothing lost, nothing run by a spreadsheet, faults named by line."""

import csv
import io
import shutil
import sqlite3
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from winterrisk.book import Book, BookError, Places, Room, Typed, import_tables, open_book, write_export
from winterrisk.book.all_rows import TABLES, rows_of
from winterrisk.book.cells import FORMULA, cell_of, value_of

NOW = np.datetime64("2025-01-15T10:00:00")
TYPED = Typed(NOW, "America/Chicago")
ROOM = Room("sill", 18.0)
KNOWN = "2025-01-15T10:00:00"
NASTY = [
    "=1+1", "+1", "-4 and falling", "@SUM(A1)", "'quoted", "''", '="a"&"b"', 'say "ice", twice', "two\nlines",
    "tab\tin it", "ＩＣＥ ＝１", "＝1", "_x0041_", "ö ü 氷 🧊", "a\u2028b", "a\x85b", "0012",
    "1e5", "TRUE", "nan", "None", "#N/A", "# no remark",
]  # fmt: skip


@pytest.fixture
def full(book: Book) -> Book:
    """A book in which every table has rows, some corrected, some withdrawn, with awkward words."""
    book.add_batch(known=KNOWN, id="=B1", warm_from="2025-01-14T20:00", temperature=18.1, light_hours=9.5)
    for number, words in enumerate(NASTY):
        time = f"2025-01-14T{number // 6:02d}:{number % 6 * 10:02d}"
        seen = {"time": time, "area": "4", "zone": "low", "kind": "ice_seen", "value": 0.1 + number / 3}
        book.add_observation(known=KNOWN, detail=words, who=words, **seen)
        book.add_decision(known=KNOWN, time=time, text=words, reason=words, told=words)
        book.add_plug(known=KNOWN, area="4", zone="low", cut=time, spot=words, batch="=B1", depth_mm=50.8)
    book.correct("observations", 3, known="2025-01-15T11:00", value=12.34567)
    book.withdraw("observations", 5, known="2025-01-15T12:00", who="-Ann")
    book.correct("plugs", "P2", known="2025-01-15T11:00", crowns="no", ice_mm=0.0)
    book.correct("batches", "=B1", known="2025-01-15T11:00", void=True)
    book.add_look(known=KNOWN, plug="P1", time="2025-01-15T08:00", new_growth=1 / 3, colour="-green")
    book.add_survey(known="2025-04-21", date="2025-04-20", area="4", zone="low", dead_low=0.05, dead_high=0.1)
    book.add_night(
        date="2025-01-15", known=KNOWN, version="0.1", thresholds="=t", calls=[{"zone": "4 low"}], members=40
    )
    book.add_message(
        known=KNOWN,
        night="2025-01-15",
        kind="call",
        recipient="@board",
        headline="=HYPERLINK()",
        body=" spaced ",
    )
    book.add_threshold_version(version="v1", known=KNOWN, used=["P1", "survey 2"], why="-because")
    return book


def dump(book: Book) -> dict[str, list[tuple[Any, ...]]]:
    return {table: rows_of(book.connection, table) for table in TABLES}


@pytest.fixture
def other(folder: Path) -> Iterator[Book]:
    """An empty book of the same course, in another folder."""
    home = folder.parent / "elsewhere"
    home.mkdir()
    shutil.copy(folder / "course.toml", home)
    with open_book(home) as opened:
        yield opened


def target(folder: Path, kind: str) -> Path:
    if kind == "xlsx":
        pytest.importorskip("openpyxl", reason="spreadsheets need the extra xlsx")
    return folder / ("out.xlsx" if kind == "xlsx" else "out")


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_everything_goes_out_and_comes_back_the_same(
    folder: Path, full: Book, other: Book, kind: str
) -> None:
    out = target(folder, kind)
    counted = write_export(full, out)
    assert counted["observations"] == len(NASTY) + 2 and all(counted[t] for t in TABLES if t != "inbox_lines")
    done = import_tables(other, out, TYPED, ROOM)
    assert dump(other) == dump(full)
    assert other.record().hash() == full.record().hash()
    assert sum(done.new.values()) == sum(counted.values()) and not sum(done.there.values())
    again = import_tables(other, out, TYPED, ROOM)
    assert dump(other) == dump(full)
    assert not sum(again.new.values()) and sum(again.there.values()) == sum(counted.values())


def test_no_cell_of_an_export_is_run_by_a_spreadsheet(folder: Path, full: Book) -> None:
    openpyxl = pytest.importorskip("openpyxl", reason="spreadsheets need the extra xlsx")
    write_export(full, folder / "out")
    for path in (folder / "out").glob("*.csv"):
        for row in csv.reader(io.StringIO(path.read_text(encoding="utf-8"), newline="")):
            for cell in row:
                assert cell[:1] not in FORMULA or isinstance(float(cell), float), (path.name, cell)
    write_export(full, folder / "out.xlsx")
    for sheet in openpyxl.load_workbook(folder / "out.xlsx"):
        assert all(cell.data_type != "f" for row in sheet for cell in row)


@given(st.text(max_size=30))
def test_any_text_survives_its_cell(text: str) -> None:
    cell = cell_of(text)
    assert value_of(cell) == text and str(cell)[:1] not in FORMULA


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.text(max_size=40), min_size=1, max_size=5))
def test_any_words_survive_the_way_out_and_back(tmp_path: Path, words: list[str]) -> None:
    """Words the book takes come back letter by letter; those it does not take it refuses at once."""
    homes = [tmp_path / name for name in ("a", "b")]
    for home in homes:
        shutil.rmtree(home, ignore_errors=True)
        home.mkdir()
    with open_book(homes[0]) as first, open_book(homes[1]) as second:
        for text in words:
            try:
                first.add_decision(known=KNOWN, time="2025-01-14", text="x" + text, reason=text, who=text)
            except BookError as refused:
                assert "no text" in str(refused) or "characters" in str(refused)
        write_export(first, tmp_path / "out")
        import_tables(second, tmp_path / "out", TYPED, ROOM)
        assert dump(second) == dump(first)


def test_an_export_joined_to_another_book_takes_new_numbers_and_its_corrections_follow(
    folder: Path, full: Book, other: Book
) -> None:
    other.add_observation(known=KNOWN, time="2025-01-10", area="9", zone="open", kind="no_ice")
    write_export(full, folder / "out")
    import_tables(other, folder / "out", TYPED, ROOM)
    mine, theirs = full.record(), other.record()
    assert len(theirs.observations) == len(mine.observations) + 1
    merged = theirs.observations.iloc[1:].drop(columns="id").reset_index(drop=True)
    assert merged.equals(mine.observations.drop(columns="id").reset_index(drop=True))
    once = dump(other)
    import_tables(other, folder / "out", TYPED, ROOM)
    assert dump(other) == once


def test_another_plug_under_the_same_name_is_refused_and_nothing_taken(
    folder: Path, full: Book, other: Book
) -> None:
    other.add_plug(known=KNOWN, area="9", zone="open", cut="2025-01-10")
    before = dump(other)
    write_export(full, folder / "out")
    with pytest.raises(BookError, match=r"plugs.csv line 2: found other words under the same id"):
        import_tables(other, folder / "out", TYPED, ROOM)
    assert dump(other) == before


def test_a_future_time_in_an_edited_export_is_refused(folder: Path, full: Book, other: Book) -> None:
    write_export(full, folder / "out")
    path = folder / "out" / "observations.csv"
    path.write_text(
        path.read_text(encoding="utf-8").replace("2025-01-14T00:10", "2125-01-14T00:10"), encoding="utf-8"
    )
    with pytest.raises(BookError, match=r"observations.csv line 3, time: found 2125.*in the future"):
        import_tables(other, folder / "out", TYPED, ROOM)
    assert all(not rows for rows in dump(other).values())


HAND = "time,area,zone,kind,value,unit,who,known\n"


def hand(folder: Path, text: str | bytes, name: str = "observations.csv") -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def test_a_table_made_by_hand_is_taken_once(folder: Path, book: Book) -> None:
    path = hand(
        folder,
        f"\ufeff{HAND}2025-01-14T09:00,4,low,ice_seen,2,cm,Ann,\n2025-01-14T10:00,9,open,no_ice,,,Ann,\n",
    )
    assert import_tables(book, path, TYPED, ROOM).words() == "observations: 2 new, 0 there already"
    assert import_tables(book, path, TYPED, ROOM).words() == "observations: 0 new, 2 there already"
    with path.open("a", encoding="utf-8") as file:
        file.write("2025-01-14T11:00,9,open,no_ice,,,Ann,\n")
    assert import_tables(book, path, TYPED, ROOM).words() == "observations: 1 new, 2 there already"
    assert book.record().observations["value"].tolist()[0] == 20.0


@pytest.mark.parametrize(
    "text",
    [
        HAND.replace(",", ";") + "2025-01-14T09:00;4;low;ice_seen;2;cm;Ann;\n",
        HAND.replace(",", "\t") + "2025-01-14T09:00\t4\tlow\tice_seen\t2\tcm\tAnn\t\n",
        (HAND + "2025-01-14T09:00,4,low,ice_seen,2,cm,Ann,\n").replace("\n", "\r\n"),
        (HAND + "2025-01-14T09:00,4,low,ice_seen,2,cm,Ann,\n").encode("utf-16"),
        HAND.upper() + "2025-01-14T09:00,4,low,ice_seen,2,cm,Ann,\n",
    ],
)
def test_tables_as_spreadsheets_save_them(folder: Path, book: Book, text: str | bytes) -> None:
    import_tables(book, hand(folder, text), TYPED, ROOM)
    assert book.record().observations[["value", "unit"]].values.tolist() == [[20.0, "mm"]]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (f"{HAND}14/01/2025,4,low,no_ice,,,,\n", r"observations.csv line 2, time: found '14/01/2025'"),
        (f"{HAND}2025-01-14,4,lowe,no_ice,,,,\n", r"line 2, zone.*did you mean 4 low"),
        (f"{HAND}2025-01-14,4,low,ice_seen,900,mm,,\n", r"line 2, value: found 900 mm"),
        (
            f'{HAND}2025-01-14,4,low,no_ice,,,"two\nlines",\n2025-01-14,4,low,no_ise,,,,\n',
            r"line 4, kind.*did you mean no_ice",
        ),
        (f"{HAND}2025-01-14,4,low\n", r"line 2: found 3 values, expected 8"),
        (f"{HAND}2025-01-14,4,low,no_ice,,,,,,7\n", r"line 2: found 10 values"),
        ("tyme,area,zone,kind\n2025-01-14,4,low,no_ice\n", "did you mean time"),
        ("time,time,area,zone,kind\n", "columns named twice: time"),
        ("", "an empty file"),
        (b"\xff\xfe\x00\x01\x02", "no text"),
        (f'{HAND}2025-01-14,4,"low,no_ice,,,,\n', "lone quote"),
        (f"{HAND}2026-01-14,4,low,no_ice,,,,2025-01-15\n", r"line 2, time: .*in the future"),
    ],
)
def test_a_wrong_table_is_refused_by_line_and_nothing_taken(
    folder: Path, book: Book, text: str | bytes, words: str
) -> None:
    with pytest.raises(BookError, match=words):
        import_tables(book, hand(folder, text), TYPED, ROOM)
    assert book.record().observations.empty


def test_every_fault_of_a_table_is_told_up_to_a_hundred(folder: Path, book: Book) -> None:
    with pytest.raises(BookError) as refused:
        import_tables(book, hand(folder, HAND + "14/01/2025,4,low,no_ice,,,,\n" * 5000), TYPED, ROOM)
    assert len(refused.value.faults) == 101 and "4900 faults more" in str(refused.value)


def test_a_look_before_the_cut_or_without_its_plug_is_refused(folder: Path, book: Book) -> None:
    book.add_plug(known=KNOWN, area="4", zone="low", cut="2025-01-14T09:00")
    text = "plug,time,new_growth\nP1,2025-01-13T09:00,0.5\nP7,2025-01-14T10:00,0.5\nP1,2025-01-14T10:00,1.4\n"
    with pytest.raises(BookError) as refused:
        import_tables(book, hand(folder, text, "looks.csv"), TYPED, ROOM)
    assert [f.where for f in refused.value.faults] == [
        f"looks.csv line {n}, {c}" for n, c in ((2, "time"), (3, "plug"), (4, "new_growth"))
    ]


def test_a_file_that_names_no_table_is_asked_about(folder: Path, book: Book) -> None:
    with pytest.raises(BookError, match="did you mean observations"):
        import_tables(book, hand(folder, HAND, "observation.csv"), TYPED, ROOM)
    with pytest.raises(BookError, match="no such file"):
        import_tables(book, folder / "nothing.csv", TYPED, ROOM)


def test_fifty_thousand_rows_go_in_and_out(folder: Path, book: Book, other: Book) -> None:
    rows = (
        f"2025-01-{1 + i % 14:02d}T{i // 60 % 24:02d}:{i % 60:02d},4,low,ice_seen,{i % 400},mm,Ann {i},\n"
        for i in range(50_000)
    )
    path = hand(folder, HAND + "".join(rows))
    assert import_tables(book, path, TYPED, ROOM).new["observations"] == 50_000
    write_export(book, folder / "out")
    import_tables(other, folder / "out", TYPED, ROOM)
    assert dump(other) == dump(book)


def lines_file(folder: Path, text: str) -> Path:
    return hand(folder, text, "walk.csv")


def test_a_sheet_of_typed_lines(folder: Path, book: Book) -> None:
    text = "line,day,time,who\n4 low ice 2cm clear,2025-01-14,7:30,Ann\n"
    text += "plug 4 low A2 5cm,2025-01-14,8:00,\nplug 4 low A2 growth 60,,,\n"
    done = import_tables(book, lines_file(folder, text), TYPED, ROOM)
    assert (
        done.new["line"] == 3 and done.said[0] == "noted 1: 4 low, ice 20 mm clear, 2025-01-14 07:30 by Ann"
    )
    again = import_tables(book, lines_file(folder, text + "9 shade bare,,,\n"), TYPED, ROOM)
    assert again.words() == "line: 1 new, 3 there already"
    record = book.record()
    assert (len(record.observations), len(record.plugs), len(record.looks)) == (2, 1, 1)


def test_a_wrong_line_of_a_sheet_keeps_all_of_it_out(folder: Path, book: Book) -> None:
    text = "line,day\n4 low ice 2cm,2025-01-14\n4 low ise,2025-01-14\n"
    text += "4 low no ice,14/01/2025\n4 low ice 3cm,2031-01-01\n"
    with pytest.raises(BookError) as refused:
        import_tables(book, lines_file(folder, text), TYPED, ROOM)
    told = [str(f) for f in refused.value.faults]
    assert [line.partition(",")[0] for line in told] == [f"walk.csv line {n}" for n in (3, 4, 5)]
    assert "did you mean ice" in told[0] and "read two ways" in told[1] and "in the future" in told[2]
    assert all(not rows for rows in dump(book).values())


def workbook(path: Path, rows: list[list[object]], merge: str = "", title: str = "observations") -> Path:
    openpyxl = pytest.importorskip("openpyxl", reason="spreadsheets need the extra xlsx")
    made = openpyxl.Workbook()
    made.active.title = title
    for row in rows:
        made.active.append(row)
    if merge:
        made.active.merge_cells(merge)
    made.save(path)
    return path


HEAD: list[object] = ["time", "area", "zone", "kind", "value", "unit"]


def test_a_spreadsheet_made_by_hand_with_real_dates(folder: Path, book: Book) -> None:
    import datetime as dt

    rows = [
        HEAD,
        [dt.datetime(2025, 1, 14, 9), 4, "low", "ice_seen", 2.5, "cm"],
        [],
        [dt.date(2025, 1, 13), "4", "low", "no_ice"],
    ]
    import_tables(book, workbook(folder / "seen.xlsx", rows), TYPED, ROOM)
    seen = book.record().observations
    assert seen["value"].tolist()[0] == 25.0 and seen["time"].astype(str).tolist() == [
        "2025-01-14 09:00:00",
        "2025-01-13 00:00:00",
    ]


@pytest.mark.parametrize(
    ("rows", "merge", "words"),
    [
        (
            [HEAD, ["2025-01-14", 4, "low", "no_ice"]],
            "A2:A3",
            "seen.xlsx sheet observations: found merged cells A2:A3",
        ),
        (
            [HEAD, ["2025-01-14", 4, "low", "ice_seen", "=1+1", "cm"]],
            "",
            "sheet observations line 2: found a formula '=1\\+1'",
        ),
        ([HEAD, ["14.1.2025", 4, "low", "no_ice"]], "", "sheet observations line 2, time"),
    ],
)
def test_a_wrong_spreadsheet_is_refused(
    folder: Path, book: Book, rows: list[list[object]], merge: str, words: str
) -> None:
    with pytest.raises(BookError, match=words):
        import_tables(book, workbook(folder / "seen.xlsx", rows, merge), TYPED, ROOM)
    assert book.record().observations.empty


def bomb(path: Path, kind: str) -> Path:
    if kind == "no zip":
        path.write_bytes(b"PK\x03\x04 nothing")
        return path
    good = workbook(path.with_name("good.xlsx"), [HEAD, ["2025-01-14", 4, "low", "no_ice"]])
    with zipfile.ZipFile(good) as source, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        for part in source.infolist():
            content = source.read(part)
            if part.filename == "xl/worksheets/sheet1.xml" and kind == "entities":
                content = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "c">]>' + content.partition(b"?>")[2]
            made.writestr(part.filename, content)
        if kind == "unpacks":
            with made.open("xl/media/zeros.xml", "w", force_zip64=True) as stream:
                for _ in range(450):
                    stream.write(bytes(2**20))
        if kind == "parts":
            for number in range(300):
                made.writestr(f"xl/media/{number}.xml", b"")
    return path


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("no zip", "no spreadsheet"),
        ("unpacks", "unpacks to 450 MB"),
        ("parts", "parts that unpacks"),
        ("entities", "definitions of its own"),
    ],
)
def test_a_spreadsheet_that_is_a_trap_is_refused_unopened(
    folder: Path, book: Book, kind: str, words: str
) -> None:
    with pytest.raises(BookError, match=words):
        import_tables(book, bomb(folder / "seen.xlsx", kind), TYPED, ROOM)
    assert book.record().observations.empty


def test_a_cell_far_away_does_not_fill_the_memory(folder: Path, book: Book) -> None:
    openpyxl = pytest.importorskip("openpyxl", reason="spreadsheets need the extra xlsx")
    made = openpyxl.Workbook()
    made.active.title = "observations"
    made.active.append(HEAD)
    made.active["A1048576"] = "x"
    made.save(folder / "far.xlsx")
    with pytest.raises(BookError, match="more than 200000 lines"):
        import_tables(book, folder / "far.xlsx", TYPED, ROOM)


def test_without_the_library_the_extra_is_named(
    folder: Path, full: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    import sys

    monkeypatch.setitem(sys.modules, "openpyxl", None)
    with pytest.raises(BookError, match=r"winterrisk\[xlsx\]"):
        write_export(full, folder / "out.xlsx")
    assert not (folder / "out.xlsx").exists()


def test_a_file_of_another_kind_is_refused(folder: Path, full: Book) -> None:
    with pytest.raises(BookError, match=r"a folder, a file \.xlsx, or \.sqlite"):
        write_export(full, folder / "out.pdf")


def test_the_export_sees_one_moment(folder: Path, full: Book) -> None:
    with full.reading(), sqlite3.connect(folder / "book.sqlite") as file:
        before = rows_of(full.connection, "decisions")
        file.execute("INSERT INTO decisions (time, text, known) VALUES ('2025-01-14', 'x', '2025-01-15')")
        file.commit()
        assert rows_of(full.connection, "decisions") == before
    file.close()


def test_places_of_a_full_export_are_not_held_against_the_present_course(
    folder: Path, full: Book, other: Book
) -> None:
    """Zones may have been renamed since; what was seen then stays."""
    other.places = Places({"1": ("only",)})
    write_export(full, folder / "out")
    import_tables(other, folder / "out", TYPED, ROOM)
    assert dump(other) == dump(full)
