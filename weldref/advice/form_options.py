"""List the terms for which a situation has published rows, so that a form can offer them first."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from weldref.core.gas import gases_of
from weldref.core.lookup import Match
from weldref.core.terms import TREE_OF, Choice, choices
from weldref.data.store import Store


def offers(
    store: Store, matches: Iterable[Match], condition: str
) -> tuple[tuple[Choice, ...], tuple[Choice, ...]]:
    """Divide the terms of a condition into those that rows name, given the rest, and the others.

    Parameters
    ----------
    store
        The open store.
    matches
        Every row compared with the situation, from `weldref.core.lookup.compare`.
    condition
        "gas" or one of the conditions in `weldref.core.terms.TREE_OF`.

    Returns
    -------
    tuple
        The terms that a row names, or names a wider or narrower term of, if the row gives a
        verdict and no other condition contradicts it; then the others. Both in table order.

    Examples
    --------
    >>> from weldref.core.lookup import compare
    >>> from weldref.core.situation import describe
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> rows = compare(store, describe(store, process="SMAW"), None, "read")
    >>> named, rest = offers(store, rows, "filler_class")
    >>> "E7018" in {c.name for c in named}, "ER70S-6" in {c.name for c in rest}
    (True, True)
    """
    named = frozenset(
        match.row[condition]
        for match in matches
        if match.gives_verdict
        and match.row[condition] is not None
        and set(match.contradicted) <= {condition}
    )
    kin = _kin(store, condition)
    every = choices(store, condition)
    with_rows = tuple(c for c in every if named & kin.get(c.name, frozenset((c.name,))))
    return with_rows, tuple(c for c in every if c not in with_rows)


@lru_cache(maxsize=32)
def _kin(store: Store, condition: str) -> dict[str, frozenset[str]]:
    """Return for each term itself with all wider and narrower terms."""
    found: dict[str, set[str]] = {}
    if condition == "gas":
        gases = gases_of(store)
        for name, composition in gases.compositions.items():
            found[name] = {name, *gases.wider(composition), *gases.narrower(composition)}
    else:
        rows = store.rows(
            "SELECT term, broader FROM broader_terms WHERE tree = $tree",
            {"tree": TREE_OF[condition][0]},
        )
        for row in rows:
            found.setdefault(row["term"], set()).add(row["broader"])
            found.setdefault(row["broader"], set()).add(row["term"])
    return {name: frozenset(names) for name, names in found.items()}


@lru_cache(maxsize=64)
def conditions_of(store: Store, process: str) -> tuple[str, ...]:
    """Return the conditions that any row of a process states; no other is worth asking for.

    Examples
    --------
    >>> from weldref.data.store import open_store
    >>> store = open_store()
    >>> "gas" in conditions_of(store, "SMAW"), "filler_class" in conditions_of(store, "PAC")
    (False, False)
    >>> conditions_of(store, "OFC")
    ('gas',)
    """
    names = [*(name for name in TREE_OF if name not in ("process", "material")), "electrode_size",
             "gas"]  # fmt: skip
    (found,) = store.rows(
        f"""
        SELECT {", ".join(f'count("{name}") AS "{name}"' for name in names)} FROM windows
        WHERE process IN (
            SELECT term FROM broader_terms WHERE tree = 'processes' AND broader = $process
            UNION SELECT broader FROM broader_terms WHERE tree = 'processes' AND term = $process
        )
        """,  # noqa: S608  the names are our own
        {"process": process},
    )
    return tuple(name for name in names if found[name])
