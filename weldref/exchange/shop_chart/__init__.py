"""A shop's own chart: typed in minutes, checked cell by cell, kept as own tables."""

from weldref.exchange.shop_chart.check import Checked, checked, titles_for
from weldref.exchange.shop_chart.folder import (
    SavedMeanwhileError,
    load,
    make_folder,
    names,
    remove,
    save,
    version,
)
from weldref.exchange.shop_chart.grid import (
    empty_chart,
    grid_of,
    heading,
    parse_grid,
)
from weldref.exchange.shop_chart.hand_over import as_json, from_json, read_bytes, read_file
from weldref.exchange.shop_chart.model import (
    CONDITIONS,
    Chart,
    Column,
    columns_for,
    short_name,
)

__all__ = [
    "CONDITIONS",
    "Chart",
    "Checked",
    "Column",
    "SavedMeanwhileError",
    "as_json",
    "checked",
    "columns_for",
    "empty_chart",
    "from_json",
    "grid_of",
    "heading",
    "load",
    "make_folder",
    "names",
    "parse_grid",
    "read_bytes",
    "read_file",
    "remove",
    "save",
    "short_name",
    "titles_for",
    "version",
]
