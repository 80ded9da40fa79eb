"""Static files are asked for once, and anew after another version of the program."""

from __future__ import annotations

import gzip
import re
from pathlib import Path

from flask.testing import FlaskClient

from resale.web.core.static_files import (
    A_YEAR,
    SHEETS,
    STYLES,
    joined_styles,
    version_of,
)


def test_a_page_names_its_files_by_their_version_and_a_browser_keeps_them(
    client: FlaskClient,
) -> None:
    page = client.get("/bench/jacket").text
    named = re.findall(r'(?:src|href)="(/static/[^"]+)"', page)
    # One file of styles: nothing is drawn before the last of them is there.
    assert sum(one.endswith(".css") for one in named) == 1 and len(named) > 5
    for address in named:
        answer = client.get(address)
        assert answer.status_code == 200, address
        kept = answer.cache_control
        assert kept.max_age == A_YEAR and kept.immutable and not kept.no_cache, address
        answer.close()


def test_what_a_script_or_a_style_draws_on_lies_beside_it(client: FlaskClient) -> None:
    """Imports and pictures are relative, so they have the version of whoever names them."""
    page = client.get("/bench/jacket").text
    (script,) = re.findall(r'src="(/static/[^"]+/scripts/bench\.js)"', page)
    code = client.get(script).text
    for module in re.findall(r'from "\./([^"]+)"', code):
        answer = client.get(script.replace("bench.js", module))
        assert answer.cache_control.immutable, module
        answer.close()


def test_a_bench_and_all_it_may_draw_on_weigh_less_than_300_kb(client: FlaskClient) -> None:
    """The first visit of a browser with nothing kept; files go packed."""
    weight = len(client.get("/bench/jacket").data)
    folder = Path(str(client.application.static_folder))
    drawn = {one: one.read_bytes() for one in folder.rglob("*") if one.suffix in {".js", ".svg"}}
    for path, content in {**drawn, folder / STYLES: joined_styles(folder)}.items():
        address = f"/static/v-{version_of(folder)}/{path.relative_to(folder).as_posix()}"
        sent = client.get(address, headers={"Accept-Encoding": "gzip"})
        assert gzip.decompress(sent.data) == content, address
        assert "Accept-Encoding" in sent.vary and sent.cache_control.immutable
        weight += len(sent.data)
    assert weight < 300_000


def test_all_styles_go_as_one_file_each_in_its_turn(client: FlaskClient) -> None:
    folder = Path(str(client.application.static_folder))
    assert sorted(SHEETS) == sorted(one.stem for one in folder.glob("styles/*.css"))
    sheets = [(folder / f"styles/{name}.css").read_text("utf-8") for name in SHEETS]
    answer = client.get(f"/static/{STYLES}")
    assert answer.text == "\n".join(sheets)
    again = client.get(f"/static/{STYLES}", headers={"If-None-Match": answer.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")
    # What a sheet draws on is relative to it: the one file has to stand in their folder.
    for name in re.findall(r'url\("?([^")]+)', answer.text):
        if not name.startswith("data:"):
            assert (folder / STYLES).parent.joinpath(name).resolve().is_file(), name


def test_who_does_not_unpack_gets_the_file_as_it_is(client: FlaskClient) -> None:
    plain = client.get("/static/styles/bench.css", headers={"Accept-Encoding": "identity"})
    packed = client.get("/static/styles/bench.css", headers={"Accept-Encoding": "gzip"})
    assert plain.content_encoding is None and packed.content_encoding == "gzip"
    assert plain.data == gzip.decompress(packed.data)
    # Kept between, either would be given to the other's reader.
    assert plain.headers["ETag"] != packed.headers["ETag"]
    part = {"Accept-Encoding": "gzip", "Range": "bytes=0-9"}
    assert client.get("/static/styles/bench.css", headers=part).data == plain.data[:10]


def test_another_version_or_none_is_answered_and_not_kept(client: FlaskClient) -> None:
    for address in ("/static/styles/bench.css", "/static/v-0000/styles/bench.css"):
        answer = client.get(address)
        assert answer.status_code == 200 and answer.cache_control.no_cache, address
        assert answer.cache_control.max_age is None
        answer.close()


def test_a_version_hangs_on_names_and_contents(tmp_path: Path) -> None:
    seen = set()
    for place, (name, text) in enumerate([("a.css", "x"), ("a.css", "y"), ("b.css", "x")]):
        folder = tmp_path / str(place)
        folder.mkdir()
        (folder / name).write_text(text)
        seen.add(version_of(folder))
    assert len(seen) == 3
