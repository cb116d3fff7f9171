"""Gases are compositions: many names, one mixture."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldref.core.gas import Share, holds, parse_designation, parse_mixture
from weldref.core.terms import Vocabulary
from weldref.data.store import Store
from weldref.errors import InputError


@pytest.mark.parametrize(
    "typed",
    ["75/25", "C25", "c25", "75 argon 25 CO2", "75% Ar + 25% CO2", "75 Ar / 25 CO2", "SG-AC-25",
     "Ar + 25% CO2", "25 CO2 balance argon"],
)  # fmt: skip
def test_one_mixture_has_many_names(typed: str, store: Store) -> None:
    assert Vocabulary(store).gas(typed)[0] == "75 Ar / 25 CO2"


@pytest.mark.parametrize(
    ("typed", "stored"),
    [("argon", "argon"), ("100% Ar", "argon"), ("Ar", "argon"), ("100% CO2", "CO2"),
     ("co2", "CO2"), ("98 Ar / 2 O2", "98 Ar / 2 O2"), ("Ar + 2 % O2", "98 Ar / 2 O2"),
     ("SG-AO-2", "98 Ar / 2 O2"), ("M21", "ISO 14175 M21"), ("acetylene", "acetylene"),
     ("86 Ar / 14 CO2", "86 Ar / 14 CO2"), ("Ar/CO2 82/18", "82 Ar / 18 CO2"),
     ("ArCO2 82/18", "82 Ar / 18 CO2"), ("75/25 argon/CO2", "75 Ar / 25 CO2"),
     ("80/20 mix", "80 Ar / 20 CO2"), ("C18", "82 Ar / 18 CO2"), ("C-25", "75 Ar / 25 CO2"),
     ("CO\u2082", "CO2"), ("97,5 Ar / 2,5 CO2", "97.5 Ar / 2.5 CO2"),
     ("natural gas", "natural gas"), ("argon gas", "argon")],
)  # fmt: skip
def test_common_spellings(typed: str, stored: str, store: Store) -> None:
    assert Vocabulary(store).gas(typed)[0] == stored


@pytest.mark.parametrize(
    ("typed", "stored"),
    [
        ("Argon 99.99 %", "argon"), ("Argon 99.995 %", "argon"), ("99.99% Ar", "argon"),
        ("Argon, min. 99.99 %", "argon"), ("Argon 99,99 %", "argon"), ("Argon 4.6", "argon"),
        ("Helium 5.0", "helium"), ("Argon (100 %)", "argon"), ("Argon (99.99 %)", "argon"),
        ("Argon 99.99 %, 15-25 CFH", "argon"), ("Argon (20 CFH)", "argon"),
        ("C25 35 to 45 cfh (16 L/min)", "75 Ar / 25 CO2"), ("Argon (backing)", "argon"),
        ("shielding gas (argon)", "argon"), ("Ar (75 %) / CO2 (25 %)", "75 Ar / 25 CO2"),
        ("C25 (75 Ar / 25 CO2)", "75 Ar / 25 CO2"), ("75/25 (Ar/CO2)", "75 Ar / 25 CO2"),
        # Stated shares speak, also against the group beside them.
        ("M21 (82 Ar / 18 CO2)", "82 Ar / 18 CO2"), ("M21 (95 Ar / 5 CO2)", "95 Ar / 5 CO2"),
        ("82 Ar / 18 CO2 (M21)", "82 Ar / 18 CO2"), ("M21 (Ar/CO2)", "ISO 14175 M21"),
    ],
)  # fmt: skip
def test_purity_flow_and_remark_are_no_part_of_the_name(
    typed: str, stored: str, store: Store
) -> None:
    assert Vocabulary(store).gas(typed)[0] == stored


@pytest.mark.parametrize(
    ("typed", "stored"),
    [
        ("EN ISO 14175 - M21 - ArC - 18", "82 Ar / 18 CO2"),
        ("ISO 14175-M21-ArC-18", "82 Ar / 18 CO2"), ("M21 ArC 18", "82 Ar / 18 CO2"),
        ("ArC-18", "82 Ar / 18 CO2"), ("ArC18", "82 Ar / 18 CO2"),
        ("ISO 14175:2008 - M13 - ArO - 2", "98 Ar / 2 O2"),
        ("ISO 14175 - M25 - ArCO - 6/4", "90 Ar / 6 CO2 / 4 O2"),
        ("ISO 14175 - I3 - ArHe - 25", "75 Ar / 25 He"), ("ISO 14175 - I1 - Ar", "argon"),
        ("ISO 14175 - C1 - C", "CO2"), ("EN ISO 14175 - M21", "ISO 14175 M21"),
        ("ISO 14175 - M21 - ArC", "ISO 14175 M21"), ("M21", "ISO 14175 M21"),
        ("ISO 14175 - ArHe", "Ar / He, shares not stated"),
    ],
)  # fmt: skip
def test_designation_of_iso_14175(typed: str, stored: str, store: Store) -> None:
    assert Vocabulary(store).gas(typed)[0] == stored


@pytest.mark.parametrize(
    "typed",
    ["Argon (helium)", "C25 (80 Ar / 20 CO2)", "75/25 (CO2/Ar)", "M21 (Ar/O2)", "Argon 4.6 %",
     "argon (plus 2 % hydrogen)", "ISO 14175 - M21 - ArO", "ISO 14175 - M25 - ArCO - 6",
     "ISO 14175 - M21 - ArC - 118", "ISO 14175", "ArO2", "CO 2", "C2 H2", "argon, 20 V",
     "75/25 Ar 4.6", "Argon 4.6 / 2 CO2", "M21 (95 Ar / 15 CO2)"],
)  # fmt: skip
def test_parts_that_contradict_or_leave_it_open_are_refused(typed: str, store: Store) -> None:
    with pytest.raises(InputError, match="gas"):
        Vocabulary(store).gas(typed)


@pytest.mark.parametrize("typed", ["98/2", "95/5", "82/18"])
def test_ambiguous_shorthand_is_not_guessed(typed: str, store: Store) -> None:
    with pytest.raises(InputError, match="name both"):
        Vocabulary(store).gas(typed)


@pytest.mark.parametrize("typed", ["75 Ar / 30 CO2", "xenon", "75 Ar 25 neon", "Ar He", "120 Ar"])
def test_nonsense_is_refused(typed: str, store: Store) -> None:
    with pytest.raises(InputError, match="gas"):
        Vocabulary(store).gas(typed)


def test_two_percent_oxygen_matches_one_to_five(store: Store) -> None:
    from weldref.core.gas import Gases

    wider = Gases(store).wider(Vocabulary(store).gas("98 Ar / 2 O2")[1])
    assert "Ar / 1 to 5 O2" in wider
    assert "ISO 14175 M13" in wider


def test_iso_14175_edges(store: Store) -> None:
    # ISO 14175 Table 2 (recalled): M20 is over 5 to 15 % CO2, M21 over 15 to 25 %.
    from weldref.core.gas import Gases

    gases = Gases(store)
    assert "ISO 14175 M20" in gases.wider(Vocabulary(store).gas("85 Ar / 15 CO2")[1])
    assert "ISO 14175 M21" not in gases.wider(Vocabulary(store).gas("85 Ar / 15 CO2")[1])
    assert "ISO 14175 M21" in gases.wider(Vocabulary(store).gas("75 Ar / 25 CO2")[1])


def test_range_is_not_inside_a_point(store: Store) -> None:
    from weldref.core.gas import Gases

    _, m21 = Vocabulary(store).gas("M21")
    assert "75 Ar / 25 CO2" not in Gases(store).wider(m21)
    assert "75 Ar / 25 CO2" in Gases(store).narrower(m21)


shares = st.floats(1, 99).map(lambda share: round(share, 1))


@given(shares)
def test_written_mixture_reads_back(share: float) -> None:
    parsed = parse_mixture(f"{100 - share:.1f} Ar / {share} CO2")
    assert parsed is not None
    assert parsed["CO2"] == Share(share, share)


@given(st.floats(0, 100), st.floats(0, 100), st.booleans(), st.booleans())
def test_a_range_holds_itself_and_empty_edges_count(
    one: float, two: float, low_in: bool, high_in: bool
) -> None:
    share = Share(min(one, two), max(one, two), low_in, high_in)
    assert holds({"Ar": share}, {"Ar": share})
    closed = Share(share.low, share.high)
    assert holds({"Ar": closed}, {"Ar": share})
    assert holds({"Ar": share}, {"Ar": closed}) == (low_in and high_in)


@given(st.text(max_size=40))
def test_any_text_gives_a_mixture_nothing_or_a_sentence(text: str) -> None:
    try:
        parsed = parse_mixture(text)
    except InputError as error:
        assert str(error).startswith("gas:")
    else:
        assert parsed is None or abs(sum(s.low for s in parsed.values()) - 100) < 1e-6


@given(
    shares=st.permutations(["Ar", "He", "CO2", "O2"]).flatmap(
        lambda names: st.lists(st.integers(1, 30), min_size=2, max_size=3).map(
            lambda minor: dict(zip(names, [100 - sum(minor), *minor], strict=False))
        )
    ),
    separator=st.sampled_from([" ", " / ", " + ", ", "]),
)
def test_a_mixture_reads_the_same_however_it_is_ordered(
    shares: dict[str, int], separator: str
) -> None:
    before = separator.join(f"{share} {name}" for name, share in shares.items())
    after = separator.join(f"{name} {share}%" for name, share in shares.items())
    first, *others = shares
    balance = separator.join([first, *(f"{shares[name]}% {name}" for name in others)])
    expected = {name: Share(share, share) for name, share in shares.items()}
    assert parse_mixture(before) == parse_mixture(after) == parse_mixture(balance) == expected


@given(
    group=st.sampled_from(["", "M21 - ", "ISO 14175 - M21 - ", "EN ISO 14175:2008 - "]),
    minor=st.lists(
        st.sampled_from(["C", "O", "He", "H", "N"]), min_size=1, max_size=3, unique=True
    ),
    data=st.data(),
)
def test_a_written_designation_reads_back(
    group: str, minor: list[str], data: st.DataObject
) -> None:
    shares = [data.draw(st.integers(1, 30)) for _ in minor]
    text = f"{group}Ar{''.join(minor)} - {'/'.join(map(str, shares))}"
    _, read = parse_designation(text)
    names = {"C": "CO2", "O": "O2", "He": "He", "H": "H2", "N": "N2"}
    assert read is not None
    assert {gas: share.low for gas, share in read.items()} == {
        "Ar": 100 - sum(shares),
        **dict(zip((names[symbol] for symbol in minor), shares, strict=True)),
    }


@given(st.text(max_size=40))
def test_any_text_is_a_designation_nothing_or_a_sentence(text: str) -> None:
    try:
        group, composition = parse_designation(text)
    except InputError as error:
        assert str(error).startswith("gas:")
    else:
        assert group is None or group.startswith("ISO 14175 ")
        assert composition is None or all(0 <= s.low <= s.high <= 100 for s in composition.values())
