"""Practice sheets: each planted mistake is caught by the engine, each clean line passes."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.effort import times
from tests.handouts.pages import CLASS_DATE, page_texts, squeezed
from weldref import bench, check
from weldref.advice.handbook import filter_shade, minimum_fillet, sheet_gauge
from weldref.audit.procedure_audit import audit_procedure
from weldref.audit.welded_log import audit_against
from weldref.calculate.by_name import compute
from weldref.cli import main
from weldref.core.setup import findings as rules_on
from weldref.core.situation import describe
from weldref.core.units import parse_number
from weldref.core.wording import span
from weldref.data.store import Store
from weldref.handouts import make_practice
from weldref.handouts.answers import asked, key_row
from weldref.handouts.arithmetic import QUESTIONS, TOLERANCE
from weldref.handouts.blocks import Paragraph, Table
from weldref.handouts.mistakes import FAMILIES, READINGS, ticket
from weldref.handouts.practice import reference_document, sheet_document
from weldref.handouts.practice_draw import (
    LEVELS,
    NEIGHBOURS,
    TOPICS,
    code_of,
    draw_sheets,
    practice,
)
from weldref.handouts.practice_pool import Draw, Pool, jobs
from weldref.handouts.texts import Notes
from weldref.handouts.tickets import Finding, Ticket, judge_ticket, procedure_of
from weldref.handouts.words import words
from weldref.procedures.model import Pass, Procedure, Range, Text

DRAWS = range(3)


@pytest.fixture(scope="module")
def pool(store: Store) -> Pool:
    return Pool(store)


def drawn_ticket(
    pool: Pool, seed: str, family: str, *, planted: bool
) -> tuple[Ticket, tuple[Finding, ...]]:
    found = ticket(pool, Draw(seed), family, planted=planted)
    assert found is not None
    return found


def checked(one: Ticket, grade: str = "memory") -> dict[str, str]:
    """The verdict on each reading of a ticket by the public check."""
    result = check(**one.conditions, **one.readings, grade=grade)  # type: ignore[arg-type]
    return {reading.quantity: reading.verdict for reading in result.readings}


@pytest.mark.parametrize("family", [family for family in FAMILIES if family != "depends"])
@pytest.mark.parametrize("number", DRAWS)
def test_a_clean_ticket_passes_on_every_line(pool: Pool, family: str, number: int) -> None:
    one, findings = drawn_ticket(pool, f"clean {family} {number}", family, planted=False)
    assert findings
    assert {finding.outcome for finding in findings} == {"passes"}
    if one.readings and family != "set-up":
        # By rows that were read alone: what a clean line rests on.
        assert set(checked(one, "read").values()) == {"inside"}
    assert not one.mistake


@pytest.mark.parametrize("number", DRAWS)
def test_a_value_above_every_source_is_caught(pool: Pool, number: int) -> None:
    one, _ = drawn_ticket(pool, f"high {number}", "setting", planted=True)
    result = check(**one.conditions, **one.readings)  # type: ignore[arg-type]
    (high,) = [r for r in result.readings if r.verdict != "inside"]
    assert high.verdict == "high"
    for row in (*high.rows, *(high.from_memory.rows if high.from_memory else ())):
        assert row.verdict == "high"


@pytest.mark.parametrize("number", DRAWS)
def test_a_slip_of_unit_is_caught(pool: Pool, number: int) -> None:
    one, _ = drawn_ticket(pool, f"unit {number}", "unit", planted=True)
    ((quantity, written),) = one.readings.items()
    assert written.split(" ")[0] == one.meant.split(" ")[0]
    assert written != one.meant
    assert checked(one)[quantity] in ("low", "high")
    assert check(**one.conditions, **{quantity: one.meant}).verdict == "inside"  # type: ignore[arg-type]


@pytest.mark.parametrize("number", DRAWS)
def test_forgotten_preheat_is_caught(pool: Pool, number: int) -> None:
    one, _ = drawn_ticket(pool, f"preheat {number}", "preheat", planted=True)
    assert checked(one) == {"preheat": "low"}


@pytest.mark.parametrize("number", DRAWS)
def test_a_ticket_without_its_code_depends_on_it(pool: Pool, number: int) -> None:
    one, _ = drawn_ticket(pool, f"depends {number}", "depends", planted=True)
    assert "code" not in one.conditions
    result = check(**one.conditions, **one.readings)  # type: ignore[arg-type]
    (reading,) = result.readings
    assert reading.verdict == "depends"
    assert reading.ask is not None
    assert reading.ask.condition == "scope"
    # What one code passes, another fails: once it is named, the answer is plain.
    named = {answer.value: answer.verdict for answer in reading.ask.answers}
    assert {"inside", "low"} <= set(named.values())
    for code, word in named.items():
        if code in ("AWS D1.1", "ASME B31.3"):
            assert check(**one.conditions, code=code, **one.readings).verdict == word  # type: ignore[arg-type]


@pytest.mark.parametrize("number", DRAWS)
def test_a_wrong_polarity_is_caught(store: Store, pool: Pool, number: int) -> None:
    """By the tables themselves: the class's own entry, or the advice for the metal."""
    one, findings = drawn_ticket(pool, f"polarity {number}", "polarity", planted=True)
    given = one.conditions["polarity"]
    (wrong,) = [f for f in findings if f.outcome == "fails"]
    assert wrong.subject == "polarity"
    if one.conditions["process"] == "SMAW":
        rows = store.rows(
            "SELECT current FROM smaw_classes WHERE classification = $e AND how_read = 'read'",
            {"e": one.conditions["electrode"]},
        )
        assert rows
        assert all(given not in row["current"] for row in rows)
    else:
        rows = store.rows(
            "SELECT advice FROM polarity WHERE process = $p AND current_type = $c "
            "AND status IS NULL AND starts_with(material, $m)",
            {"p": one.conditions["process"], "c": given, "m": one.conditions["material"]},
        )
        assert {row["advice"] for row in rows} & {"not recommended", "not suitable"}


@pytest.mark.parametrize("number", DRAWS)
def test_a_gas_that_cannot_spray_is_caught(store: Store, pool: Pool, number: int) -> None:
    """The tables name 100 % CO2 and 75/25 for other modes only, and print "not true spray"."""
    one, findings = drawn_ticket(pool, f"gas {number}", "gas", planted=True)
    assert one.conditions["transfer_mode"] == "spray"
    printed = {"CO2": "100% CO2", "75 Ar / 25 CO2": "75% Ar + 25% CO2"}[one.conditions["gas"]]
    rows = store.rows(
        "SELECT transfer_mode FROM shielding_gas_selection WHERE shielding_gas = $gas "
        "AND contains(coalesce(transfer_mode, ''), 'spray')",
        {"gas": printed},
    )
    assert rows == []
    assert [f.subject for f in findings if f.outcome == "fails"] == ["gas"]
    assert all(s.how_read != "memory" for f in findings for s in f.statements)


@pytest.mark.parametrize("number", DRAWS)
@pytest.mark.parametrize("planted", [True, False])
def test_heat_input_follows_or_does_not(pool: Pool, number: int, planted: bool) -> None:
    one, _ = drawn_ticket(pool, f"heat {number}", "heat", planted=planted)
    answer = compute(
        "heat-input",
        {
            "voltage": one.readings["voltage"],
            "current": one.readings["current"],
            "travel_speed": one.shown["travel_speed"],
            "process": one.conditions["process"],
        },
    )
    computed = float(answer.shown[1].removesuffix(" kJ/in"))
    assert one.recorded_heat is not None
    assert (abs(one.recorded_heat / computed - 1) > 0.05) == planted
    assert set(checked(one).values()) == {"inside"}


def test_direct_current_alone_says_no_polarity(store: Store) -> None:
    """AC 43.13-1B prints "DC" for carbon steel: that is no word for electrode positive."""
    wrong = Ticket("polarity", {"process": "GTAW", "material": "carbon steel", "polarity": "DCEP"})
    (finding,) = judge_ticket(store, wrong)
    assert finding.outcome == "open"


@pytest.mark.parametrize("name", list(QUESTIONS))
def test_answers_are_those_of_compute(pool: Pool, name: str) -> None:
    for number in DRAWS:
        question = QUESTIONS[name](pool, Draw(f"{name} {number}"))
        assert question is not None
        v = question.values
        if name == "shade":
            amps = {"current": float(v["amps"])} if "amps" in v else {}
            plate = {"plate": parse_number(v["plate"]) * 0.0254} if "plate" in v else {}  # type: ignore[operator]
            said = filter_shade(v["process"], **amps, **plate)
            assert {s.value for s in said if s.condition == v["rule"]} == {question.exact}
            continue
        if name in ("fillet", "gauge"):
            said = minimum_fillet(parse_number(v["thickness"]) or 0) if name == "fillet" else []
            said = said or sheet_gauge(v["gauge"])
            assert question.exact in {s.value for s in said if s.condition == v["rule"]}
            continue
        if name == "gap":
            assert question.exact == float(v["pitch"]) - float(v["length"])
            assert question.grade == "memory"
            continue
        typed = {
            "heat": lambda v: {"voltage": f"{v['volts']} V", "current": f"{v['amps']} A",
                               "travel_speed": f"{v['travel']} in/min", "process": v["process"]},
            "wire": lambda v: {"length": f"{v['inches']} in", "time": f"{v['seconds']} s"},
            "throat": lambda v: {"leg": f"{v['leg']} in"},
            "symbol throat": lambda v: {"leg": f"{v['leg']} in"},
            "start": lambda v: {"window_low": f"{v['low']} A", "window_high": f"{v['high']} A"},
            "carbon": lambda v: {n: f"{v[n]} %" for n in
                                 ("carbon", "manganese", "chromium", "nickel")},
        }[name](v)  # fmt: skip
        answer = compute(question.formula_name, typed)
        texts = [text for text in answer.shown if text.endswith(f" {question.unit}")]
        (value,) = [float(text.split(" ")[0]) for text in texts]
        assert abs(float(question.answer) / value - 1) < TOLERANCE / 100


def test_no_line_binds_under_a_code_or_another_special_condition(store: Store, pool: Pool) -> None:
    special = ("scope", "other_condition", "technique", '"pass"', "environment", "joint_detail")
    places = {
        (row["source_id"], row["locator"], row["quantity"], row["min"], row["max"])
        for row in store.rows(
            f"SELECT * FROM windows WHERE {' AND '.join(f'{name} IS NULL' for name in special)}"  # noqa: S608
        )
    }
    assert len(pool.lines) > 40
    for line in pool.lines:
        for one in line.ranges:
            assert (one.source_id, one.locator, one.quantity, one.low, one.high) in places


def test_the_key_asks_the_question(store: Store, pool: Pool) -> None:
    """A verdict that depends stands with its question and the word for each answer."""
    one, findings = drawn_ticket(pool, "depends 1", "depends", planted=True)
    row = key_row(1, one, findings, Notes(store, words("en")))
    assert row[2] == "Depends: no code named"
    assert "depends: which code? AWS D1.1: " in row[3]
    assert "ASME B31.3: low" in row[3]
    row = key_row(1, one, findings, Notes(store, words("es")))
    assert "depende: ¿qué código? AWS D1.1: " in row[3]


def test_a_value_outside_the_procedure_is_found_by_the_audit_too(
    pool: Pool, tmp_path: Path
) -> None:
    """The audit of a log against the procedure it was welded to says what the ticket says."""
    audited = 0
    for number in range(6):
        one, findings = drawn_ticket(pool, f"wps {number}", "procedure", planted=True)
        (wrong,) = [f for f in findings if f.outcome == "fails"]
        # Print holds it: the procedure alone decides.
        assert set(checked(one).values()) == {"inside"}
        low, high, unit = one.procedure[wrong.subject]
        heading = {"current": "amps", "voltage": "volts"}.get(wrong.subject)
        if heading is None:
            continue
        stated = Pass(label=Text("fill"), **{wrong.subject: Range(float(low), float(high), unit)})  # type: ignore[arg-type]
        log = tmp_path / f"{number}.csv"
        log.write_text(f"weld,{heading}\nfill,{one.readings[wrong.subject].split()[0]}\n")
        (count,) = audit_against(log, Procedure(passes=(stated,))).counts
        assert {"low": count.low, "high": count.high}[wrong.word] == 1
        audited += 1
    assert audited


@pytest.mark.parametrize("family", sorted(set(FAMILIES) - {"written"}))
@pytest.mark.parametrize("planted", [True, False])
def test_the_set_up_rules_of_check_and_card_agree(pool: Pool, family: str, planted: bool) -> None:
    """A rule that calls a set-up wrong speaks of nothing but what was planted."""
    for number in range(times(1, 2)):
        found = ticket(pool, Draw(f"rules {number}"), family, planted=planted)
        if found is None:
            continue
        one, _ = found
        senses = list(bench(**one.conditions).sense)
        if one.readings:
            senses += check(**one.conditions, **one.readings).sense  # type: ignore[arg-type]
        wrong = {f.topic for f in senses if f.strength == "cannot be"}
        if one.family == "set-up":
            assert bool(wrong) == planted
        else:
            assert wrong <= ({"polarity", "gas", "preheat", "size"} if one.mistake else set())


def test_no_rule_is_against_a_sound_job(store: Store) -> None:
    for job in jobs():
        stated = {k: v for k, v in job.items() if k not in (*READINGS, "f_number")}
        sense = rules_on(store, describe(store, **stated))  # type: ignore[arg-type]
        assert {f.strength for f in sense} <= {"worth knowing"}, job


@pytest.mark.parametrize("planted", [True, False])
def test_the_audit_says_of_a_procedure_what_the_ticket_says(pool: Pool, planted: bool) -> None:
    for number in DRAWS:
        one, findings = drawn_ticket(pool, f"written {number}", "written", planted=planted)
        found = audit_procedure(procedure_of(one)).findings
        said = [f for f in found if f.severity == "contradiction"]
        assert len(said) == planted
        if planted and findings[0].rule:
            assert said[0].about == findings[0].rule.rule
        elif planted:
            assert said[0].expected == findings[0].statements[0].value


NOT_CUT = [("OFC", "304"), ("OFC", "aluminium")]
"""A flame cuts neither: a sheet says so, and has little else."""


@pytest.mark.parametrize("process", ["SMAW", "GMAW", "FCAW", "GTAW", "OFC"])
@pytest.mark.parametrize("metal", ["carbon steel", "304", "aluminium"])
def test_every_class_gets_a_sheet_or_is_told_what_it_lacks(process: str, metal: str) -> None:
    made = practice(seed="1", process=process, metal=metal)
    (sheet,) = made.sheets
    assert len(sheet.tickets) + len(sheet.questions) >= (2 if (process, metal) in NOT_CUT else 6)
    said = [b.text for b in sheet_document(made).blocks if isinstance(b, Paragraph)]
    assert bool(made.left_out) == any("nothing is printed to draw" in text for text in said)
    notes = Notes(made.store, made.words)
    for one, findings in sheet.tickets:
        recalled = any(f.rule and f.rule.how_read == "memory" for f in findings)
        assert not recalled or "from memory" in " ".join(asked(one, notes)[1])


def test_a_seed_gives_the_same_sheets(pool: Pool) -> None:
    first, _ = draw_sheets(pool, "7", 3, "first-week")
    again, _ = draw_sheets(pool, "7", 2, "first-week")
    other, _ = draw_sheets(pool, "8", 1, "first-week")
    assert first[:2] == again
    assert other[0] != first[0]


def test_sheets_share_nothing_with_their_neighbours(pool: Pool) -> None:
    sheets, left_out = draw_sheets(pool, "friday", times(8, 30), "bench")
    assert left_out == ()
    asked = [
        {str((t.conditions, t.readings, t.shown, t.recorded_heat)) for t, _ in sheet.tickets}
        | {str((q.message, q.values)) for q in sheet.questions}
        for sheet in sheets
    ]
    for place, mine in enumerate(asked):
        assert len(mine) == len(sheets[place].tickets) + len(sheets[place].questions)
        for near in range(1, NEIGHBOURS + 1):
            assert place < near or not mine & asked[place - near]


def test_the_code_on_the_sheet_gives_the_seed_away_nowhere(tmp_path: Path) -> None:
    seed = "a secret of the class"
    code = code_of(f"{seed}  bench")
    for ending in ("html", "csv"):
        places = [tmp_path / f"{name}.{ending}" for name in ("sheet", "key", "rows")]
        make_practice(places[0], key=places[1], reference=places[2], seed=seed)
        sheet, key, rows = (place.read_text(encoding="utf-8-sig") for place in places)
        assert seed not in sheet + rows
        assert ending == "csv" or (seed in key and code in sheet and code in key)
    # Without one the seed is drawn by chance, and cannot be guessed.
    one, other = practice(topic="shade").seed, practice(topic="shade").seed
    assert one != other
    assert len(one) >= 20


def test_a_class_gets_what_it_welds() -> None:
    made = practice(seed="1", sheets=2, process=["stick", "tig"], metal="carbon steel",
                    thickness=["1/8", "3/16"])  # fmt: skip
    for sheet in made.sheets:
        for one, _ in sheet.tickets:
            assert one.conditions["process"] in ("SMAW", "GTAW")
            assert one.conditions.get("thickness", "1/8 in") in ("1/8 in", "3/16 in", "0.125 in")
        for question in sheet.questions:
            assert question.values.get("process", "SMAW") in ("SMAW", "GTAW")
    assert "gas" in made.left_out


@pytest.mark.parametrize("topic", list(TOPICS))
def test_a_sheet_can_be_about_one_topic(topic: str) -> None:
    made = practice(seed="1", topic=topic)
    families, kinds = TOPICS[topic]
    (sheet,) = made.sheets
    assert {one.family for one, _ in sheet.tickets} == set(families)
    assert bool(sheet.questions) == bool(kinds)
    assert len(sheet.tickets) + len(sheet.questions) >= 6


def test_the_reference_holds_exactly_the_rows_of_the_key() -> None:
    """Each row that decides a ticket, once; no row that decides none."""
    made = practice(seed="1", sheets=2, level="inspector")
    tables = [b for b in reference_document(made).blocks if isinstance(b, Table)]
    listed = [(row[0], row[1]) for table in tables for group in table.groups for row in group.rows]
    needed = {
        row.window_id: row
        for sheet in made.sheets
        for _, findings in sheet.tickets
        for finding in findings
        if finding.reading
        for row in finding.reading.rows or finding.reading.conditional
    }
    ranges = {span(row).replace("ft3/h", "ft³/h") for row in needed.values()}
    shown = {re.sub(r"°", "", str(cells[0])) for cells in listed}
    assert shown == ranges
    assert len(listed) == len(set(listed)) <= len(needed)


def test_qti_follows_the_standard(tmp_path: Path) -> None:
    """Names, attributes and order by IMS QTI 2.1 as recalled: the schema could not be fetched."""
    qti = "{http://www.imsglobal.org/xsd/imsqti_v2p1}"
    place = tmp_path / "friday.zip"
    make_practice(tmp_path / "friday.csv", qti=place, sheets=2, seed="1", title="A <b> & class")
    again = tmp_path / "again.zip"
    make_practice(tmp_path / "friday.csv", qti=again, sheets=2, seed="1", title="A <b> & class")
    assert place.read_bytes() == again.read_bytes()
    with zipfile.ZipFile(place) as archive:
        files = {name: ElementTree.fromstring(archive.read(name)) for name in archive.namelist()}  # noqa: S314
    manifest, test = files.pop("imsmanifest.xml"), files.pop("test.xml")
    package = "{http://www.imsglobal.org/xsd/imscp_v1p1}"
    resources = manifest.findall(f"{package}resources/{package}resource")
    assert {r.get("href") for r in resources} == {"test.xml", *files}
    named = [r.get("identifier") for r in resources]
    assert len(set(named)) == len(named)
    depends = {d.get("identifierref") for d in manifest.iter(f"{package}dependency")}
    assert depends == set(named) - {"test"}
    assert [child.tag.removeprefix(package) for child in manifest] == [
        "metadata", "organizations", "resources",
    ]  # fmt: skip
    references = test.findall(f".//{qti}assessmentItemRef")
    assert [r.get("href") for r in references] == list(files)
    assert len(test.findall(f".//{qti}assessmentSection")) == 2
    for name, item in files.items():
        assert item.tag == f"{qti}assessmentItem"
        assert item.get("identifier") == name.removesuffix(".xml")
        order = [child.tag.removeprefix(qti) for child in item]
        assert order == [
            "responseDeclaration", "outcomeDeclaration", "itemBody", "responseProcessing",
        ]  # fmt: skip
        assert item.attrib.keys() >= {"identifier", "title", "adaptive", "timeDependent"}
        assert item.get("{http://www.w3.org/XML/1998/namespace}lang") == "en"
        declared = {c.get("identifier") for c in item if c.tag.endswith("Declaration")}
        assert declared == {"RESPONSE", "SCORE"}
        used = [c for c in item.iter() if c.get("responseIdentifier")]
        assert [c.get("responseIdentifier") for c in used] == ["RESPONSE"]
        assert {c.get("identifier") for c in item.iter(f"{qti}variable")} <= declared
        value = item.findtext(f"{qti}responseDeclaration/{qti}correctResponse/{qti}value")
        choices = item.findall(f".//{qti}simpleChoice")
        assert value in [c.get("identifier") for c in choices] if choices else float(value or "")


def answers_of(key: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(key.read_text(encoding="utf-8-sig"))))


def test_results_say_which_tickets_were_missed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    key, given, results = (tmp_path / f"{n}.csv" for n in ("key", "answers", "results"))
    make_practice(tmp_path / "p.csv", key=key, sheets=2, seed="1")
    rows = answers_of(key)
    first = [row for row in rows if row["sheet"] == "1"]
    lines = ["student,sheet,number,answer"]
    lines += [f"Student A,1,{row['number']},{row['expected']}" for row in first]
    lines += [f"Student B,1,{row['number']}," for row in first[:1]]
    given.write_text("\n".join(lines), encoding="utf-8")
    assert main(["practice-results", str(key), str(given), "-o", str(results)]) == 0
    marks = answers_of(results)
    assert {row["mark"] for row in marks if row["student"] == "Student A"} == {"right"}
    assert [row["mark"] for row in marks if row["student"] == "Student B"] == ["missed"] * len(
        first
    )
    page = tmp_path / "results.html"
    assert main(["practice-results", str(key), str(given), "-o", str(page)]) == 0
    assert f"{len(first)} of {len(first)}" in page.read_text(encoding="utf-8")
    capsys.readouterr()
    for text, word in (
        ("student,sheet,number\nA,1,1\n", "lacks the column answer"),
        ("student,sheet,number,answer\nA,9,1,right\n", "line 2"),
        ("student,sheet,number,answer\nA,1,1,right\nA,1,1,wrong\n", "line 3"),
    ):
        given.write_text(text, encoding="utf-8")
        assert main(["practice-results", str(key), str(given), "-o", str(results)]) == 2
        err = capsys.readouterr().err
        assert word in err
        assert err.count("\n") == 1


@pytest.mark.parametrize("level", list(LEVELS))
def test_key_and_sheets_belong_together(tmp_path: Path, level: str) -> None:
    sheet_file, key_file = make_practice(tmp_path / "p.pdf", seed=5, level=level, date=CLASS_DATE)
    assert key_file.name == "p.key.pdf"
    sheet, key = (" ".join(page_texts(one.read_bytes())) for one in (sheet_file, key_file))
    assert "invented for practice: do not weld or cut by it" in sheet
    for word in ("Wrong:", "inside. Printed", "Depends:"):
        assert word not in sheet
    (drawn,) = practice(seed=5, level=level).sheets
    assert key.count("Wrong: ") == sum(
        bool(one.mistake) and one.family != "depends" for one, _ in drawn.tickets
    )
    for one, findings in drawn.tickets:
        for value in one.readings.values():
            assert squeezed(value.split(" ")[0]) in squeezed(sheet)
        for finding in findings:
            assert squeezed(finding.word).casefold() in squeezed(key).casefold()
    for question in drawn.questions:
        assert f"{question.answer} {question.unit}" in key


def test_key_names_the_source_row(tmp_path: Path) -> None:
    _, key = make_practice(tmp_path / "p.csv", seed=5, sheets=2, level="bench")
    rows = answers_of(key)
    assert len(rows) == 2 * 9
    for row in rows:
        if "nothing published" in row["reasoning"]:
            continue  # no rule is against a set-up, and no table names its polarity or gas
        assert re.search(r"\[\d+\]", row["reasoning"]), row
        assert row["sources"].startswith("["), row


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (["--level", "expert"], "--level"),
        (["--sheets", "0"], "--sheets"),
        (["--sheets", "61"], "--sheets"),
        (["--sheets", "many"], "--sheets"),
        (["--seed", "x" * 81], "--seed"),
        (["--topic", "sport"], "--topic"),
        (["--process", "SMAW", "--topic", "gas"], "practice"),
        (["--process", "origami"], "process"),
        (["--qti", "p.xml"], "--qti"),
        (["--reference", "/none/p.pdf"], "--reference"),
        (["--language", "xx"], "--language"),
        (["--key", "/none/key.pdf"], "--key"),
        (["--key", "{folder}/p.pdf"], "--key: the key needs a file of its own"),
    ],
)
def test_bad_input_is_one_sentence(
    arguments: list[str], word: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    filled = [argument.format(folder=tmp_path) for argument in arguments]
    assert main(["practice", *filled, "-o", str(tmp_path / "p.pdf")]) == 2
    err = capsys.readouterr().err
    assert err.startswith("weldref: ")
    assert err.count("\n") == 1
    assert word in err
    assert list(tmp_path.iterdir()) == []


def test_command_prints_what_it_wrote(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "friday.html"
    assert main(["practice", "--level", "first-week", "--seed", "2", "-o", str(target)]) == 0
    assert capsys.readouterr().out.split() == [str(target), str(tmp_path / "friday.key.html")]
    assert "invented for practice" in target.read_text(encoding="utf-8")
