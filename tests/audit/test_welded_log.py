"""Is every reading of a log held against the pass of the procedure it was welded to?"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.audit.constructed.bases import a_copy, read
from tests.effort import times
from weldref.audit.welded_log import AgainstProcedure, audit_against
from weldref.cli import main
from weldref.errors import InputError
from weldref.procedures.model import Pass, Procedure, Range, Text

ROOT = Pass(label=Text("root"), process=Text("SMAW"), filler_class=Text("E6010"),
            sizes=(Range(0.125, 0.125, "in"),), current=Range(80, 120, "A"),
            voltage=Range(20, 26, "V"), travel_speed=Range(4, 8, "in/min"),
            heat_input=Range(None, 40, "kJ/in"))  # fmt: skip
FILL = Pass(label=Text("2-4"), process=Text("SMAW"), filler_class=Text("E7018"),
            sizes=(Range(0.125, 0.125, "in"),), current=Range(110, 150, "A"))  # fmt: skip
TWO = Procedure(number=Text("W-1"), passes=(ROOT, FILL))


def audited(
    folder: Path, text: str, procedure: Procedure = TWO, **more: object
) -> AgainstProcedure:
    log = folder / "log.csv"
    log.write_text(text)
    return audit_against(log, procedure, **more)  # type: ignore[arg-type]


def test_a_record_goes_to_the_pass_that_it_names(tmp_path: Path) -> None:
    found = audited(tmp_path, "weld,amps\nroot,100\npass root,130\n2-4,130\n2-4,100\nweld 9,100\n")
    assert [(c.label, c.readings, c.inside, c.low, c.high) for c in found.counts] == [
        ("root", 2, 1, 0, 1), ("pass 2-4", 2, 1, 1, 0),
    ]  # fmt: skip
    assert [(c.farthest, c.by) for c in found.counts] == [(2, 10.0), (4, 10.0)]
    assert found.unplaced == {"several passes fit; name the pass of each record in a column "
                              "'weld'": 1}  # fmt: skip
    assert found.verdict == "outside"


def test_without_a_name_the_electrode_tells_the_pass(tmp_path: Path) -> None:
    found = audited(tmp_path, "electrode,diameter,amps\nE6010,1/8,100\nE7018,3.2 mm,130\n"
                              "E7018,1/4,130\n")  # fmt: skip
    assert [(c.label, c.inside) for c in found.counts] == [("root", 1), ("pass 2-4", 1)]
    assert found.unplaced == {"no pass has this process, electrode and size": 1}
    assert found.verdict == "not compared"


def test_the_heat_input_is_worked_out(tmp_path: Path) -> None:
    # 25 V x 120 A x 60 / (4 in/min x 1000) = 45 kJ/in; 22 x 100 x 60 / 6000 = 22 kJ/in.
    found = audited(
        tmp_path, "joint,volts,amps,travel speed (in/min)\nroot,25,120,4\nroot,22,100,6\n"
    )
    (heat,) = [c for c in found.counts if c.quantity == "heat_input"]
    assert (heat.inside, heat.high, heat.farthest, heat.by) == (1, 1, 1, 5.0)
    metric = audited(tmp_path, "joint,volts,amps,travel speed (mm/s)\nroot,25,120,1.6933\n")
    (heat,) = [c for c in metric.counts if c.quantity == "heat_input"]
    assert (heat.high, heat.by) == (1, pytest.approx(5.0, abs=0.01))


def test_what_the_procedure_does_not_state_is_not_compared(tmp_path: Path) -> None:
    found = audited(tmp_path, "weld,volts\n2-4,40\n")
    (count,) = found.counts
    assert (count.window, count.inside, count.high) == ("", 0, 0)
    assert found.verdict == "not compared"


def test_a_heading_can_be_named(tmp_path: Path) -> None:
    found = audited(tmp_path, "bead,ch1\nroot,130\n", columns={"weld": "bead", "current": "ch1"})
    assert found.counts[0].high == 1
    with pytest.raises(InputError, match="the log has no column 'nothing'"):
        audited(tmp_path, "bead,amps\nroot,130\n", columns={"weld": "nothing"})
    with pytest.raises(InputError, match="wps: the procedure states no pass"):
        audited(tmp_path, "weld,amps\nroot,130\n", Procedure())


@settings(max_examples=times(8, 30), suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.floats(0, 1000).map(lambda value: round(value, 2)), min_size=1, max_size=20))
def test_every_reading_is_counted_once(tmp_path: Path, amps: list[float]) -> None:
    found = audited(tmp_path, "weld,amps\n" + "".join(f"root,{value}\n" for value in amps))
    (count,) = found.counts
    assert count.readings == len(amps)
    assert count.low == sum(value < 80 for value in amps)
    assert count.high == sum(value > 120 for value in amps)
    assert count.inside == len(amps) - count.low - count.high


def test_from_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from weldref.procedures.own_layout import to_json

    wps, log = tmp_path / "wps.json", tmp_path / "log.csv"
    wps.write_text(to_json(read(a_copy("smaw-d11-fillet"))))
    log.write_text("bead,process,electrode,diameter,amps\n1,SMAW,E7018,1/8,130\n"
                   "1,SMAW,E7018,1/8,155\n")  # fmt: skip
    assert main(["audit-log", str(log), "--wps", str(wps), "--map", "weld=bead"]) == 1
    out = " ".join(capsys.readouterr().out.split())
    assert "beside smaw-d11-fillet: outside" in out
    assert "115 to 150 A" in out
    assert main(["audit-log", str(log), "--wps", str(wps), "--json"]) == 1
    assert '"against_wps"' in capsys.readouterr().out
    assert main(["audit-log", str(log), "--wps", "nowhere.json"]) == 2
