"""Spellings resolve to one term, and terms stand in trees."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldref.core.terms import TREE_OF, Vocabulary, broader_of, near_terms
from weldref.data.store import Store, open_store
from weldref.errors import InputError


@pytest.mark.parametrize(
    ("condition", "typed", "stored"),
    [
        ("process", "mig", "GMAW"), ("process", "TIG", "GTAW"), ("process", "Stick", "SMAW"),
        ("process", "flux core", "FCAW"), ("material", "mild steel", "mild steel"),
        ("material", "Aluminum", "aluminium"), ("material", "ASTM A36", "A36"),
        ("material", "304 stainless", "304"), ("position", "downhand", "flat"),
        ("position", "PF", "vertical up"), ("polarity", "reverse polarity", "DCEP"),
        ("transfer_mode", "short arc", "short-circuiting"), ("joint", "butt", "groove"),
        ("filler_class", "7018", "E7018"), ("filler_class", "er70s6", "ER70S-6"),
        ("process", "plasma-cutting", "PAC"), ("material", "stainless-steel", "stainless steel"),
    ],
)  # fmt: skip
def test_common_spellings(condition: str, typed: str, stored: str, store: Store) -> None:
    assert Vocabulary(store).term(condition, typed).name == stored


@pytest.mark.parametrize(
    ("condition", "term", "chain"),
    [
        ("material", "A36", ["carbon steel", "ferritic steel", "steel"]),
        ("material", "304", ["300-series stainless steel", "austenitic stainless steel",
                             "stainless steel"]),
        ("filler_class", "E7018-1 H4R", ["E7018-1", "E7018", "low-hydrogen covered electrode"]),
        ("position", "1G", ["flat", "all positions"]),
        ("transfer_mode", "high-current spray", ["spray"]),
        ("process", "FCAW-S", ["FCAW"]),
    ],
)  # fmt: skip
def test_terms_are_trees(condition: str, term: str, chain: list[str], store: Store) -> None:
    broader = Vocabulary(store).term(condition, term).broader
    depths = [broader[name] for name in chain]
    assert depths == sorted(depths)
    assert depths[0] > 0


def test_group_membership_carries_its_grade(store: Store) -> None:
    membership = Vocabulary(store).term("material", "A36").membership
    # AWS D1.1:2015 Table 3.3, read; ASME IX QW/QB-422, read.
    assert membership["AWS D1.1 Category A"] == "read"
    assert membership["P-No.1, strength up to 490 MPa"] == "read"
    assert Vocabulary(store).term("material", "304").membership["P-No.8"] == "memory"


def test_pulsed_spray_is_no_spray(store: Store) -> None:
    # Ranges printed for spray are for constant voltage: they do not judge pulsed work.
    assert "spray" not in Vocabulary(store).term("transfer_mode", "pulsed spray").broader


@pytest.mark.parametrize(
    ("typed", "group", "words"),
    [
        ("E8016-C3", "low-hydrogen covered electrode", "not listed"),
        ("E7018-1H4R", "E7018", "ignored"),
        ("ER70S-5", "carbon steel wire or rod", "not listed"),
        ("E71T-13", "flux cored wire", "not listed"),
        ("E7020-G", "other than low-hydrogen covered electrode", "not listed"),
        ("E9018-G H4", "E9018-G", "ignored"),
    ],
)
def test_unlisted_class_is_read_by_its_form_and_says_so(
    typed: str, group: str, words: str, store: Store
) -> None:
    term = Vocabulary(store).term("filler_class", typed)
    assert group in term.broader
    assert words in term.read_as


@pytest.mark.parametrize(
    ("kinds", "typed", "named", "told"),
    [
        (("covered electrode",), "308L", "E308L-16", "not as E308L-15, E308L-17"),
        (("covered electrode",), "309L", "E309L-16", "read as E309L-16"),
        (("covered electrode",), "E316L", "E316L-16", "read as E316L-16"),
        (("covered electrode",), "4043", "E4043", "not as ER4043"),
        (("covered electrode",), "7018", "E7018", ""),
        (("covered electrode",), "E308L-15", "E308L-15", ""),
        (("solid wire or rod",), "308L", "ER308L", "read as ER308L"),
        (("solid wire or rod",), "316L", "ER316L", "read as ER316L"),
        (("solid wire or rod",), "4043", "ER4043", "not as E4043"),
        (("solid wire or rod",), "70S-6", "ER70S-6", ""),
        # No wire goes by these digits: `describe` tells that it is not a filler metal for it.
        (("solid wire or rod",), "7018", "E7018", ""),
        (("flux cored wire",), "308L", "308L", "E308LT0-1, E308LT0-4, E308LT1-1 or E308LT1-4"),
    ],
)
def test_an_electrode_is_read_in_the_light_of_the_process(
    kinds: tuple[str, ...], typed: str, named: str, told: str, store: Store
) -> None:
    term = Vocabulary(store).term("filler_class", typed, kinds)
    assert term.name == named
    assert told in term.read_as
    assert bool(term.read_as) == bool(told)


def test_a_class_that_may_be_several_holds_what_they_share(store: Store) -> None:
    term = Vocabulary(store).term("filler_class", "308L", ["flux cored wire"])
    assert "stainless flux cored wire" in term.broader
    assert {"E308LT0-1", "E308LT1-4"} <= term.narrower
    open_kind = Vocabulary(store).term("filler_class", "308L")
    assert {"E308L-16", "ER308L", "stainless covered electrode"} <= open_kind.narrower
    assert set(open_kind.broader) == {"308L"}


@pytest.mark.parametrize(
    ("condition", "typed", "both"),
    [
        ("process", "plasma", "PAC .plasma arc cutting. or PAW .plasma arc welding."),
        ("process", "OAC", "AOC .oxygen arc cutting. or OFC .oxyfuel gas cutting."),
        ("process", "plasma arc", "PAC .* or PAW"), ("process", "oxyfuel", "OFC .* or OFW"),
        ("material", "1050", "AA 1050 .* or AISI 1050"), ("material", "1060", "AA 1060 .*AISI"),
    ],
)  # fmt: skip
def test_a_word_with_two_meanings_is_asked_about(
    condition: str, typed: str, both: str, store: Store
) -> None:
    with pytest.raises(InputError, match=f"may mean {both}.*; give one of them$"):
        Vocabulary(store).term(condition, typed)


@pytest.mark.parametrize(
    ("tree", "typed", "offered"),
    [
        ("materials", "1046", ["AISI 1045", "AISI 1040", "AISI 1026", "AISI 1006"]),
        ("materials", "6062", ["6082", "6063", "6061", "6060"]), ("materials", "A37", ["A36"]),
        ("materials", "steal", ["steel"]), ("processes", "stik", ["SMAW"]),
        ("processes", "laser welding", []), ("processes", "spot welding", []),
        ("materials", "zzz", []), ("materials", "4041", []), ("specifications", "D1.2", []),
    ],
)  # fmt: skip
def test_near_terms(tree: str, typed: str, offered: list[str], store: Store) -> None:
    assert near_terms(store, tree, typed) == offered


@given(st.sampled_from(["materials", "electrode_classes"]), st.from_regex(r"[AES]?[1-9]\d{2,3}L?"))
def test_near_terms_are_of_one_family(tree: str, typed: str) -> None:
    families = broader_of(open_store(), tree)
    roots = [
        {term for term in families[name] if len(families[term]) == 1}
        for name in near_terms(open_store(), tree, typed)
    ]
    assert not roots or set.intersection(*roots)


def test_unknown_term_offers_near_ones(store: Store) -> None:
    with pytest.raises(InputError, match=r"did you mean .*aluminium"):
        Vocabulary(store).term("material", "alumnium")


@pytest.mark.parametrize(
    ("typed", "stored"),
    [
        ("DC straight polarity (electrode negative)", "DCEN"), ("DCEP (reverse)", "DCEP"),
        ("EP (reverse)", "DCEP"), ("DC (+)", "DCEP"), ("DC (-)", "DCEN"), ("DC+ ", "DCEP"),
        ("DC -", "DCEN"), ("electrode positive", "DCEP"), ("DC electrode negative", "DCEN"),
        ("DC, reverse polarity", "DCEP"), ("electrode (-)", "DCEN"), ("AC (HF)", "AC"),
    ],
)  # fmt: skip
def test_a_polarity_may_be_said_twice(typed: str, stored: str, store: Store) -> None:
    assert Vocabulary(store).term("polarity", typed).name == stored


@pytest.mark.parametrize(
    ("condition", "typed"),
    [
        ("polarity", "DCEN (+)"), ("polarity", "DCEP (-)"), ("polarity", "DCEN for root (DCEP)"),
        ("polarity", "DCEP straight"), ("process", "GTAW (135)"), ("material", "A36 (304)"),
        ("material", "A36 to A572 Grade 50"), ("position", "1G (vertical)"),
    ],
)  # fmt: skip
def test_parts_that_contradict_are_refused(condition: str, typed: str, store: Store) -> None:
    with pytest.raises(InputError, match="give one of them"):
        Vocabulary(store).term(condition, typed)


@pytest.mark.parametrize("typed", ["-", "work (+)", "work (negative)", "AC/DC", "DCEP -"])
def test_a_polarity_is_not_guessed(typed: str, store: Store) -> None:
    with pytest.raises(InputError, match="is not known"):
        Vocabulary(store).term("polarity", typed)


def test_a_remark_is_left_aside_aloud(store: Store) -> None:
    term = Vocabulary(store).term("polarity", "DCEP (see note 2)")
    assert (term.name, "'see note 2' ignored" in term.read_as) == ("DCEP", True)
    assert not Vocabulary(store).term("joint", "butt (single V)").read_as


@pytest.mark.parametrize(
    ("typed", "stored"),
    [
        ("ASTM A572 Grade 50", "A572 50"), ("ASTM A572 Gr. 50", "A572 50"),
        ("A572-50", "A572 50"), ("A572 GR50", "A572 50"), ("ASTM A572/A572M-18 Gr 50", "A572 50"),
        ("ASTM A240 304L", "304L"), ("SA-240 Type 304L", "304L"), ("SA-106 Gr. B", "A106 B"),
        ("SA-516 Gr. 70", "A516 70"), ("A/SA-516 Gr. 70", "A516 70"), ("EN AW-5083", "5083"),
        ("EN AW-5083-H111", "5083"), ("AISI 304", "304"), ("S355J2+N", "S355J2"),
        ("EN 10025-2 S355JR+AR", "S355JR"), ("SAE/AISI 1018", "AISI 1018"), ("A 36", "A36"),
        ("carbon steel (A36)", "A36"), ("SA-53 Type E Gr. B", "A53 B"), ("304 L", "304L"),
        # The standard of a product stands in front of the grade of another.
        ("ASTM B209 5052-H32", "5052"), ("B221 6061-T6", "6061"),
        ("B265 Gr. 2", "titanium Grade 2"),
        ("ASTM B265 Grade 5", "Ti-6Al-4V"), ("A312 304", "304"), ("SA-312 TP304L", "304L"),
        ("A240/A240M-20 316L", "316L"), ("A182 F316L", "316L"), ("B443 N06625", "nickel alloy 625"),
        ("EN 10025-2:2019 S355J2", "S355J2"), ("EN 10088-2 1.4301", "304"),
        ("JIS G3101 SS400", "SS400"), ("UNS S31603", "316L"), ("A537 Cl 2", "A537 2"),
        ("A387 Gr. 22 Class 2", "2-1/4Cr-1Mo steel"), ("A387-22-CL2", "2-1/4Cr-1Mo steel"),
        ("2\u00bcCr-1Mo", "2-1/4Cr-1Mo steel"), ("A36 plate", "A36"), ("304\u00a0L", "304L"),
    ],
)  # fmt: skip
def test_a_designation_keeps_its_grade(typed: str, stored: str, store: Store) -> None:
    vocabulary = Vocabulary(store)
    assert vocabulary.term("material", typed).name == stored
    assert vocabulary.material_in(typed) == stored


@pytest.mark.parametrize(
    ("text", "metal"),
    [
        ("ASTM A572 Grade 50, 3/8 in plate", "A572 50"), ("A572 Gr 50 1/2 in", "A572 50"),
        ("API 5L X65", "API 5L X65"), ("A500 Gr. C", "A500"), ("SA-516 Gr. 60", "A516 60"),
        ("A312 TP304L", "304L"), ("A516 Gr. 70 carbon steel plate", "A516 70"),
        ("aluminum plate 6061-T6", "6061"),
        # Another grade than the one that a bare A106, A53 or A633 stands for.
        ("A106 Gr. C", None), ("SA-106 Gr. A", None), ("A53 Type E Gr. A", None),
        ("A633 Gr. C", None),
        # SS is structural steel here, SA-572 is in no table, and 304 may be part of a number.
        ("A1008 SS 30", None), ("SA-572 Gr. 50", None), ("A9999 304", None),
        ("A36 to A572 Grade 50", None), ("304/304L", None), ("S355J2G3", None), ("", None),
    ],
)  # fmt: skip
def test_metal_of_a_written_designation(text: str, metal: str | None, store: Store) -> None:
    assert Vocabulary(store).material_in(text) == metal


@given(st.text(max_size=60))
def test_any_text_names_a_known_metal_or_none(text: str) -> None:
    vocabulary = Vocabulary(open_store())
    named = vocabulary.material_in(text)
    assert named is None or vocabulary.term("material", named).name == named


@pytest.mark.parametrize(
    ("typed", "stored", "mode"),
    [
        ("GMAW-S", "GMAW", "short-circuiting"), ("GMAW-P", "GMAW", "pulsed spray"),
        ("pulsed MIG", "GMAW", "pulsed spray"), ("GMAW (short-circuiting)", "GMAW",
        "short-circuiting"), ("MAG (135), short arc", "GMAW", "short-circuiting"),
        ("121", "SAW", None), ("135 - MAG", "GMAW", None), ("136", "FCAW-G", None),
        ("FCAW (136)", "FCAW-G", None), ("FCAW-S", "FCAW-S", None), ("GTAW (141)", "GTAW", None),
        ("Gas metal arc", "GMAW", None), ("shielded metal arc", "SMAW", None),
        ("TIG welding", "GTAW", None),
    ],
)  # fmt: skip
def test_a_process_by_letters_words_and_numbers(
    typed: str, stored: str, mode: str | None, store: Store
) -> None:
    vocabulary = Vocabulary(store)
    assert vocabulary.term("process", typed).name == stored
    assert vocabulary.transfer_in(typed) == mode


@pytest.mark.parametrize(
    "typed", ["111/141", "welding", "GMAW S-P", "laser welding", "TIG cutting"]
)
def test_a_process_is_not_guessed(typed: str, store: Store) -> None:
    with pytest.raises(InputError, match="is not known"):
        Vocabulary(store).term("process", typed)


def test_the_wire_of_a_weld_metal_designation_speaks(store: Store) -> None:
    # ISO 14341-A: the wire stands last (worked examples gf-02, gf-03).
    term = Vocabulary(store).term("filler_class", "ISO 14341-A - G 42 4 M21 3Si1")
    assert (term.name, "its wire" in term.read_as) == ("G3Si1", True)


def test_a_class_found_by_its_spelling_has_no_suffix(store: Store) -> None:
    assert not Vocabulary(store).term("filler_class", "3Si1").read_as
    assert Vocabulary(store).term("filler_class", "EM12K").name == "EM12K"


@pytest.mark.parametrize("typed", ["W9Si1", "T 99 4 P M21", "E 42 4 X", "G 42 4 M21 2Si1"])
def test_a_class_that_no_table_holds_is_unknown(typed: str, store: Store) -> None:
    with pytest.raises(InputError, match="is not known"):
        Vocabulary(store).term("filler_class", typed)


@given(st.sampled_from(sorted(TREE_OF)), st.text(min_size=1, max_size=40))
def test_any_text_is_a_term_or_a_sentence(condition: str, text: str) -> None:
    try:
        term = Vocabulary(open_store()).term(condition, text)
    except InputError as error:
        assert "is not known" in str(error) or "give one of them" in str(error)
    else:
        assert term.broader


@pytest.mark.parametrize(
    ("typed", "part", "code"),
    [
        ("5G", "all positions", "broader"), ("5G", "out of position", "broader"),
        ("5G", "vertical", "part"), ("6G", "overhead", "part"), ("5G up", "vertical up", "part"),
        ("5G", "flat", ""), ("5G", "flat and horizontal", ""), ("5G up", "vertical down", ""),
        ("3G", "vertical", "broader"),
    ],
)  # fmt: skip
def test_a_pipe_position_passes_through_others(
    typed: str, part: str, code: str, store: Store
) -> None:
    term = Vocabulary(store).term("position", typed)
    found = "broader" if part in term.broader else "part" if part in term.passes_through else ""
    assert found == code
    assert part not in term.narrower
