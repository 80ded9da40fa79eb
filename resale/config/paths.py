"""Where the shipped folders lie: beside the package in the source tree, inside it in a wheel."""

from __future__ import annotations

from pathlib import Path

from resale.errors import ResaleError

PACKAGE = Path(__file__).parent.parent


def shipped(name: str) -> Path:
    """Find a folder that comes with the program.

    Parameters
    ----------
    name : str
        ``templates``, ``models`` or ``demo_data``.

    Raises
    ------
    ResaleError
        If neither place has it.
    """
    # The source tree comes first: there the folder inside the package is never made.
    places = (PACKAGE.parent / name, PACKAGE / "shipped" / name)
    inside_source_tree = (PACKAGE.parent / "pyproject.toml").is_file()
    found = [place for place in (places if inside_source_tree else places[1:]) if place.is_dir()]
    if not found:
        raise ResaleError(
            f"the folder {name}, which comes with the program, is not there",
            where=str(places[0] if inside_source_tree else places[1]),
            remedy="install the program again",
        )
    return found[0]
