"""Who gets which message and when, by a real mail server and a real receiver of posts on this machine."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from post_office import PostOffice, at, free_port, person

from winterrisk.book import open_book
from winterrisk.course import read_course
from winterrisk.messages import Post, open_outbox, send_messages, send_waiting

Made = Callable[..., dict[str, Any]]
PULL = ("pull", "1 low", "2024-01-16", "2024-01-17")
LOOK = ("look", "1 ridge", "2024-01-16", "2024-01-17")
MISSING = [{"zone": "1 low", "why": "no air temperature for 60 h"}]


class Course:
    """The small course, its clock, and what was told on the way."""

    def __init__(self, folder: Path, *people: str) -> None:
        self.folder, self.told = folder, list[str]()
        with (folder / "course.toml").open("a", encoding="utf-8") as file:
            file.write("".join(people))

    def night(self, night: dict[str, Any], hour: str = "04:10", *, tonight: bool = True) -> Post:
        now = at(f"{night['on']}T{hour}")
        course = read_course(self.folder)
        with open_book(self.folder, course=course) as book:
            record = book.record(known_by=now)
        return send_messages(
            course,
            night,
            record,
            now,
            self.told.append,
            worked=[night["on"]],
            tonight=tonight,
            allow_local=True,
        )

    def waiting(self, when: str) -> Post:
        course = read_course(self.folder)
        with open_book(self.folder, course=course) as book:
            record = book.record(known_by=at(when))
        return send_waiting(course, record, at(when), self.told.append, allow_local=True)


def decide(folder: Path, text: str, when: str) -> None:
    with open_book(folder, course=read_course(folder)) as book:
        book.add_decision(known=at(when), time=at(when), text=text)


def heads(office: PostOffice, name: str) -> list[str]:
    """First two words of what a person got."""
    return [" ".join(letter.headline.split()[:2]) for letter in office.to(name)]


def test_a_call_goes_once_to_each_first_contact_and_not_to_the_second(
    folder: Path, office: PostOffice, night: Made
) -> None:
    course = Course(
        folder,
        person("Inga Varrow", office.address("inga")),
        person("Club office", office.hook),
        person("Tobin Hale", office.address("tobin"), second=True),
    )
    post = course.night(night("2024-01-16", PULL, LOOK))
    assert not post.undelivered and course.told == []
    assert sorted(letter.to for letter in office.letters) == ["hook", "inga"]
    (mine,) = office.to("inga")
    assert mine.headline.startswith("LOOK by Wed 17 Jan: 1 ridge. PULL PLUGS by Wed 17 Jan: 1 low (3).")
    assert len(mine.headline) <= 160 and mine.headline.isascii() and len(mine.body) <= 600
    assert office.to("hook")[0].content[1:] == mine.content[1:] and office.to("hook")[0].id
    course.night(night("2024-01-16", PULL, LOOK))
    course.night(night("2024-01-17", PULL, LOOK))
    assert len(office.to("inga")) == len(office.to("hook")) == 1


def test_one_action_message_a_day_and_the_rest_is_told_the_next_night(
    folder: Path, office: PostOffice, night: Made
) -> None:
    course = Course(folder, person("Inga Varrow", office.address("inga")))
    course.night(night("2024-01-16", PULL))
    course.night(night("2024-01-16", PULL, LOOK), "12:00")
    assert len(office.letters) == 1
    danger = ("cover_danger", "1 ridge", "DANGER, 1 ridge: a sealed cover")
    course.night(night("2024-01-16", PULL, notices=(danger,)), "13:00")
    assert len(office.letters) == 2 and "LET AIR IN UNDER THE SEALED COVER" in office.letters[1].headline
    course.night(night("2024-01-17", PULL, LOOK))
    assert len(office.letters) == 3 and "1 ridge" in office.letters[2].headline


def test_a_call_taken_back_in_time_is_told(folder: Path, office: PostOffice, night: Made) -> None:
    course = Course(folder, person("Inga Varrow", office.address("inga")))
    course.night(night("2024-01-16", PULL))
    course.night(night("2024-01-17"))
    assert office.letters[1].headline == "NO LONGER NEEDED: pull plugs of 1 low. As of Wed 17 Jan."
    course.night(night("2024-01-18"))
    assert len(office.letters) == 2


def test_missing_data_and_their_return_are_told(folder: Path, office: PostOffice, night: Made) -> None:
    course = Course(folder, person("Inga Varrow", office.address("inga")))
    course.night(night("2024-01-16", cannot_say=MISSING))
    course.night(night("2024-01-17"))
    assert heads(office, "inga") == ["CANNOT SAY", "DATA ARE"]


def test_the_stand_in_is_told_on_days_away_only(folder: Path, office: PostOffice, night: Made) -> None:
    away = (
        '\n[away]\nstand_in = "Tobin Hale"\nperiods = [{first = 2024-01-16, last = 2024-01-16}]\n'
        + person("Inga Varrow", office.address("inga"))
        + person("Tobin Hale", office.address("tobin"), second=True)
    )
    course = Course(folder, away)
    course.night(night("2024-01-16", PULL))
    assert (len(office.to("inga")), len(office.to("tobin"))) == (1, 1)
    course.night(night("2024-01-18", ("look", "1 ridge", "2024-01-18", "2024-01-19")))
    assert (len(office.to("inga")), len(office.to("tobin"))) == (2, 1)


def two(office: PostOffice) -> tuple[str, str]:
    return (
        person("Inga Varrow", office.address("inga")),
        person("Tobin Hale", office.address("tobin"), second=True, answer_within=10),
    )


def test_the_second_contact_is_asked_once_when_nobody_answers_in_time(
    folder: Path, office: PostOffice, night: Made
) -> None:
    course = Course(folder, *two(office))
    course.night(night("2024-01-16", PULL))
    course.waiting("2024-01-16T14:00")
    assert office.to("tobin") == []
    course.waiting("2024-01-16T14:20")
    (asked,) = office.to("tobin")
    assert asked.headline.startswith("NO ANSWER since Tue 16 Jan. PULL PLUGS") and "ack" in asked.body
    assert len(asked.headline) <= 160 and len(asked.body) <= 600
    course.waiting("2024-01-16T15:00")
    course.night(night("2024-01-17", PULL))
    assert len(office.to("tobin")) == 1 and len(office.to("inga")) == 1


def test_the_second_contact_asked_on_a_later_night_is_not_asked_again(
    folder: Path, office: PostOffice, night: Made
) -> None:
    people = (
        person("Inga Varrow", office.address("inga")),
        person("Tobin Hale", office.address("tobin"), second=True),
    )
    course = Course(folder, *people)
    for day in (16, 17, 18, 19, 20):
        course.night(night(f"2024-01-{day}", PULL))
        course.waiting(f"2024-01-{day}T07:00")
    assert heads(office, "tobin") == ["NO ANSWER"]


@pytest.mark.parametrize("answer", ["ack by hand", "ack in the inbox", "note", "plug"])
def test_an_answer_of_any_kind_keeps_the_second_contact_in_peace(
    folder: Path, office: PostOffice, night: Made, answer: str, winterrisk_command: Any
) -> None:
    import os

    from winterrisk.book import take_inbox

    course = Course(folder, *two(office))
    course.night(night("2024-01-16", PULL))
    stamp = ("--on", "2024-01-16", "--at", "09:00", "--known", "2024-01-16 09:05")
    if answer == "ack by hand":
        decide(folder, "ack", "2024-01-16T09:00")
    elif answer == "ack in the inbox":
        (folder / "inbox").mkdir()
        file = folder / "inbox" / "note.txt"
        file.write_text("ack will go at noon\n", encoding="utf-8")
        saved = float(at("2024-01-16T09:00").astype("datetime64[s]").astype(int))
        os.utime(file, (saved, saved))
        with open_book(folder, course=read_course(folder)) as book:
            taken = take_inbox(folder, book, read_course(folder), at("2024-01-16T09:10"))
            assert taken.refused == () and "ack will go at noon" in taken.noted[0].said
    elif answer == "note":
        assert winterrisk_command("observe", folder, "1 low ice 2cm", *stamp)[0] == 0
    else:
        assert winterrisk_command("plug", folder, "add", "1 low A1", *stamp)[0] == 0
    course.waiting("2024-01-16T20:00")
    course.night(night("2024-01-17", PULL))
    assert office.to("tobin") == []


def test_a_note_from_elsewhere_is_no_answer(
    folder: Path, office: PostOffice, night: Made, winterrisk_command: Any
) -> None:
    course = Course(folder, *two(office))
    course.night(night("2024-01-16", PULL))
    stamp = ("--on", "2024-01-16", "--at", "09:00", "--known", "2024-01-16 09:05")
    assert winterrisk_command("observe", folder, "1 ridge snow 2cm", *stamp)[0] == 0
    course.waiting("2024-01-16T20:00")
    assert len(office.to("tobin")) == 1


def test_quiet_hours_hold_a_message_until_they_end(folder: Path, office: PostOffice, night: Made) -> None:
    course = Course(folder, person("Inga Varrow", office.address("inga"), quiet="21:00-06:30"))
    post = course.night(night("2024-01-16", PULL))
    assert office.letters == [] and len(post.later) == 1 and not post.undelivered
    course.waiting("2024-01-16T06:20")
    assert office.letters == []
    course.waiting("2024-01-16T06:30")
    assert len(office.letters) == 1


def test_a_night_of_another_day_tells_its_calls_when_asked_and_never_after_a_later_one(
    folder: Path, office: PostOffice, night: Made
) -> None:
    course = Course(folder, person("Inga Varrow", office.address("inga")))
    course.night(night("2024-01-15", verdicts_due=[VERDICT]), tonight=False)
    assert office.letters == []
    course.night(night("2024-01-17", PULL))
    course.night(night("2024-01-16", LOOK), tonight=False)
    assert len(office.letters) == 1


VERDICT = {"plug": "A1", "zone": "1 low", "species": "annual_bluegrass", "due": "2024-01-17"}


def test_a_verdict_is_told_once_a_plug(folder: Path, office: PostOffice, night: Made) -> None:
    course = Course(folder, person("Inga Varrow", office.address("inga")))
    other = VERDICT | {"species": "creeping_bent"}
    course.night(night("2024-01-16", verdicts_due=[VERDICT, other]))
    course.night(night("2024-01-17", verdicts_due=[VERDICT | {"due": "2024-01-18"}]))
    (mine,) = office.letters
    assert mine.headline == "READ PLUGS by Wed 17 Jan: 1 low (A1)." and "never in a kitchen" in mine.body


def test_standing_notices_are_told_weekly_and_a_refused_note_at_once(
    folder: Path, office: PostOffice, night: Made
) -> None:
    course = Course(folder, person("Inga Varrow", office.address("inga")))
    vent = ("cover", "1 low", "1 low: sealed cover since Mon 1 Jan, never aired: air it, and read the gas")
    odd = ("refused", "", "inbox/a.txt line 2: '4 low ise': found the word 'ise'")
    for day in range(16, 26):
        course.night(night(f"2024-01-{day}", notices=(vent, odd) if day < 18 else (vent,)))
    got = [letter.headline for letter in office.letters if not letter.headline.startswith("Week")]
    assert len(got) == 2
    assert got[0].startswith("Tue 16 Jan, COVERS and A NOTE WAS NOT UNDERSTOOD: 1 low: sealed cover since")
    assert got[1].startswith("Tue 23 Jan, COVERS: 1 low")


def test_a_digest_comes_on_the_first_day_of_the_crews_week_and_says_what_was_run(
    folder: Path, office: PostOffice, night: Made
) -> None:
    course = Course(folder, person("Inga Varrow", office.address("inga")))
    for day in range(14, 31):
        course.night(night(f"2024-01-{day}"))
    got = [(letter.headline, letter.body) for letter in office.letters]
    assert [head.partition(",")[0] for head, _ in got] == [
        "Week to Mon 15 Jan", "Week to Mon 22 Jan", "Week to Mon 29 Jan",
    ]  # fmt: skip
    assert "1 of 7 nights run. Nothing is called." in got[1][0]
    assert all("No digest for 8 days means that this has stopped" in body for _, body in got)
    assert all(len(head) <= 160 and head.isascii() and len(body) <= 600 for head, body in got)


def test_a_digest_names_the_two_looks_wanted_most(folder: Path, office: PostOffice, night: Made) -> None:
    course = Course(folder, person("Inga Varrow", office.address("inga")))
    waits = [{"kind": "look", "zone": z, "held_because": "later"} for z in ("1 ridge", "1 low", "1 dam")]
    course.night(night("2024-01-15", held_back=waits))
    assert "If you pass by, look at 1 ridge and 1 low: that would tell most." in office.letters[0].body


def test_measures_are_those_of_the_reader(folder: Path, office: PostOffice, night: Made) -> None:
    text = (folder / "course.toml").read_text(encoding="utf-8")
    (folder / "course.toml").write_text(
        text.replace("invented = true", 'invented = true\nunits = "us"'), "utf-8"
    )
    course = Course(folder, person("Inga Varrow", office.address("inga")))
    made = night("2024-01-15")
    for zone in made["data"]["zones"]:
        zone |= {"snow_m": 0.254, "ice_mm": 25.4, "ice_chance": 0.9, "days_under_ice": 12.0}
    course.night(made)
    assert "12 days, 1.0 in); snow about 9.8 in." in office.letters[0].body


def test_words_cannot_become_headers_or_be_more_than_7_bit(
    folder: Path, office: PostOffice, night: Made
) -> None:
    course = Course(folder, person("Inga Varrow", office.address("inga")))
    zone = "1 Lågmyra\r\nBcc: all@example.invalid"
    course.night(night("2024-01-16", ("pull", zone, "2024-01-16", "2024-01-17")))
    (mine,) = office.letters
    assert mine.raw is not None and mine.raw["Bcc"] is None
    assert "1 Lagmyra Bcc: all@example.invalid (3)" in mine.headline and mine.headline.isascii()
    assert str(mine.raw["Auto-Submitted"]) == "auto-generated"


def test_what_cannot_be_delivered_is_kept_told_and_at_last_given_up_with_a_notice(
    folder: Path, office: PostOffice, night: Made
) -> None:
    dead = office.address("inga").replace(str(office.mail_port), str(free_port()))
    course = Course(folder, person("Inga Varrow", dead), person("Edda Thorn", office.address("edda")))
    post = course.night(night("2024-01-16", PULL))
    assert post.undelivered and len(office.to("edda")) == 1
    assert "no message reached Inga Varrow (no connection to the mail server" in course.told[0]
    assert course.waiting("2024-01-16T04:15").resting and len(course.told) == 1, "not tried before its time"
    course.waiting("2024-01-16T05:00")
    assert len(course.told) == 2
    course.night(night("2024-01-20", PULL))
    assert not [line for line in course.told if "never got" in line], "calls stand three days after their day"
    post = course.night(night("2024-01-21", PULL))
    assert post.undelivered and "Inga Varrow never got the message of 2024-01-16" in course.told[-1]
    assert [h for h in heads(office, "edda") if h == "Inga Varrow"] == ["Inga Varrow"]
    assert "Inga Varrow NEVER GOT the message of Tue 16 Jan" in office.to("edda")[-1].headline


def test_a_call_that_reached_nobody_counts_as_not_told(folder: Path, office: PostOffice, night: Made) -> None:
    office.fails = lambda: True
    course = Course(folder, person("Inga Varrow", office.address("inga")))
    standing = ("pull", "1 low", "2024-01-16", "2024-01-16")
    course.night(night("2024-01-16", standing))
    course.night(night("2024-01-19", standing))
    office.fails = lambda: False
    course.night(night("2024-01-20", standing))
    assert heads(office, "inga") == ["PULL PLUGS"]
    course.night(night("2024-01-21", standing))
    assert len(office.letters) == 1


def test_the_same_words_for_the_same_person_are_one_message(tmp_path: Path) -> None:
    from winterrisk.messages.message import Message

    def words(body: str, to: str = "Inga Varrow") -> Message:
        return Message("action", "2024-01-16", to, "LOOK", body, {}, at("2024-01-16"), at("2024-01-19"))

    with open_outbox(tmp_path, "moor") as outbox:
        now = at("2024-01-16T04:10")
        assert outbox.put([words("why"), words("why"), words("why", "Edda Thorn")], now) == 2
        assert outbox.put([words("why"), words("why else")], now) == 1
        ids = {row.id for row in outbox.kept()}
    with open_outbox(tmp_path, "other moor") as outbox:
        outbox.put([words("why")], now)
        assert len(ids) == 3 and len({row.id for row in outbox.kept()}) == 4, (
            "another course is another message"
        )


def test_a_busy_server_is_asked_again_in_the_same_run(folder: Path, office: PostOffice, night: Made) -> None:
    answers = iter([True, True, False])
    office.fails = lambda: next(answers)
    course = Course(folder, person("Inga Varrow", office.address("inga")))
    assert not course.night(night("2024-01-16", PULL)).undelivered
    assert len(office.letters) == 1 and office.requests == 3


def test_a_line_that_breaks_after_the_mail_was_taken_gives_the_same_message_id(
    folder: Path, office: PostOffice, night: Made
) -> None:
    drops = iter([True, False])
    office.drops_after = lambda: next(drops)
    course = Course(folder, person("Inga Varrow", office.address("inga")))
    assert not course.night(night("2024-01-16", PULL)).undelivered
    assert len(office.letters) == 2 and len({letter.id for letter in office.letters}) == 1


def test_an_older_message_that_waits_gives_way_to_a_newer_one(
    folder: Path, office: PostOffice, night: Made
) -> None:
    office.fails = lambda: True
    course = Course(folder, person("Inga Varrow", office.address("inga")))
    course.night(night("2024-01-16", PULL))
    office.fails = lambda: False
    course.night(night("2024-01-17", PULL, LOOK))
    (mine,) = office.letters
    assert "1 ridge" in mine.headline and "1 low" in mine.headline


def test_nobody_with_an_address_needs_no_outbox(folder: Path, night: Made) -> None:
    course = Course(folder)
    assert course.night(night("2024-01-16", PULL)) == Post()
    assert not (folder / "outbox.sqlite").exists()


def test_an_outbox_of_somebody_else_is_refused_with_a_next_move(
    folder: Path, office: PostOffice, night: Made
) -> None:
    from winterrisk.messages import OutboxError

    (folder / "outbox.sqlite").write_bytes(b"no database at all, " * 100)
    course = Course(folder, person("Inga Varrow", office.address("inga")))
    with pytest.raises(OutboxError, match="move the file elsewhere"):
        course.night(night("2024-01-16", PULL))
    assert office.letters == []
