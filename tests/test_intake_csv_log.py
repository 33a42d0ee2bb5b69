"""The log that lies beside a case."""

from __future__ import annotations

from datetime import datetime

import pytest

from diagnose.intake.case import Case
from diagnose.intake.case_file import read_case
from diagnose.intake.problems import CaseErrors

NOW = datetime(2026, 3, 20, 18, 0)
CASE = "case: kiln-room\nlog: kiln-room.csv\n"


def with_log(log: str, case: str = CASE) -> Case:
    return read_case(case.encode(), "kiln-room.yaml", NOW, open_beside=lambda name: log.encode())


def test_readings_and_events_share_a_table() -> None:
    case = with_log(
        "at,what,value,unit,as,share,conditioner,note\n"
        "2026-03-01 07:10,temperature,74,F,,,,\n"
        "2026-03-01 07:15,ammonia,0.5,mg/L,total-N,,,\n"
        '2026-03-02,water-change,,,,50 %,full,"Ilka did it, in a hurry"\n'
    )
    assert [reading.what for reading in case.readings] == ["temperature", "ammonia"]
    assert case.readings[0].value == pytest.approx(23.333, abs=1e-3)
    assert case.readings[1].value == 0.5
    assert case.events[0].share_percent == 50
    assert case.events[0].note == "Ilka did it, in a hurry"


def test_an_entry_remembers_its_line() -> None:
    case = with_log("at,what,value\n2026-03-01,ph,7.2\n\n2026-03-02,ph,7.4\n")
    lines = [reading.logged for reading in case.readings]
    assert lines == ["kiln-room.csv, line 2", "kiln-room.csv, line 4"]


def test_the_log_comes_after_what_the_case_holds() -> None:
    case = with_log(
        "at,what,value\n2026-03-01,ph,7.2\n", CASE + "readings: [{what: ph, value: 6.8}]\n"
    )
    assert [reading.value for reading in case.readings] == [6.8, 7.2]


def test_the_units_of_the_case_hold_in_its_log() -> None:
    case = with_log("at,what,value\n2026-03-01,temperature,74\n", CASE + "units: us\n")
    assert case.readings[0].value == pytest.approx(23.333, abs=1e-3)


def test_times_around_the_first_death_keep_their_order_too() -> None:
    deaths = CASE + "deaths: {first: 2 days ago, dead: 1}\n"
    log = "at,what\n36 h before the first death,spray\n2 h before the first death,top-up\n"
    assert [event.what for event in with_log(log, deaths).events] == ["spray", "top-up"]
    backwards = "at,what\n2 h before the first death,top-up\n36 h before the first death,spray\n"
    with pytest.raises(CaseErrors, match=r"line 3, at: .*earlier than the row before"):
        with_log(backwards, deaths)


@pytest.mark.parametrize(
    ("log", "message"),
    [
        ("at,what,value\n2026-03-25,ph,7\n", r"kiln-room\.csv, line 2, at: .*later than now"),
        ("at,what,value\n2026-03-01,ph,plenty\n", r"line 2, value: .*Write it as 7.4"),
        ('at,what,value\n2026-03-01,"ph,7\n', "quote that is not closed"),
        ("at,what,value,value\n2026-03-01,ph,7,7\n", "two columns are called `value`"),
        ("at\twhat\tvalue\n2026-03-01\tph\t7\n", "parted by tabs"),
        ("at,what,value\n2026-03-01,ph,\x1b[31m7\n", "hidden control code"),
        ("at,what,value\nlast blue moon,ph,7\n", "line 2, at: .*not a time"),
        ("at,what,valu\n2026-03-01,ph,7\n", "`valu` is no column here. Did you mean `value`"),
        ("at,what\n2026-03-01,ph\n", "`ph` has no value"),
    ],
)
def test_a_slip_in_the_log_is_told_with_its_line(log: str, message: str) -> None:
    with pytest.raises(CaseErrors, match=message):
        with_log(log)


def test_a_log_longer_than_any_keeper_writes_is_refused() -> None:
    rows = "2026-03-01,ph,7\n" * 5001
    with pytest.raises(CaseErrors, match="more than 5000 rows"):
        with_log("at,what,value\n" + rows)


def test_only_a_table_beside_the_case_is_opened() -> None:
    def opened(name: str) -> bytes:
        raise AssertionError(f"{name} was opened")

    for name in ("../other.csv", "/etc/hosts", "a/b.csv", "notes.txt", ".."):
        text = f"case: jar\nlog: {name}\n"
        with pytest.raises(CaseErrors, match="log"):
            read_case(text.encode(), "jar.yaml", NOW, open_beside=opened)


def test_without_a_folder_there_is_no_log() -> None:
    with pytest.raises(CaseErrors, match="Give the case as a file"):
        read_case(CASE.encode(), "standard input", NOW)
