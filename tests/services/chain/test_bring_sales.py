"""A file of sales comes in once, and never over another of its name."""

import pytest
from pyarrow import parquet

from resale.errors import ItemFileError
from resale.garments.rulebook.rule_book import load_rule_book
from resale.services.chain.bring_sales import bring_sales

BOOK = load_rule_book()
OCTOBER = "kind,price,sold_on\nshirt,12.00,2026-10-03\nbag,20.00,2026-10-04\n"
NOVEMBER = "kind,price,sold_on\nshirt,9.00,2026-11-05\n"


def rows(folder):
    return sum(parquet.read_metadata(path).num_rows for path in folder.glob("*.parquet"))


def test_a_months_file_of_the_same_name_neither_doubles_nor_replaces(tmp_path):
    file, folder, back = tmp_path / "sales.csv", tmp_path / "all", tmp_path / "back.csv"
    file.write_text(OCTOBER)
    for _ in range(2):
        assert bring_sales(file, "Harbour", folder, BOOK, back) == (2, 0)
    renamed = tmp_path / "october.csv"
    renamed.write_text(OCTOBER)
    with pytest.raises(ItemFileError, match=r"stand in .* already"):
        bring_sales(renamed, "Harbour", folder, BOOK, back)
    # Another shop may have sold just the same.
    bring_sales(renamed, "Mill", folder, BOOK, back)
    file.write_text(NOVEMBER)
    with pytest.raises(ItemFileError, match="another file of this name"):
        bring_sales(file, "Harbour", folder, BOOK, back)
    assert rows(folder) == 4
    bring_sales(file.rename(tmp_path / "november.csv"), "Harbour", folder, BOOK, back)
    assert rows(folder) == 5
