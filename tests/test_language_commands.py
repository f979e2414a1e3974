"""Begin a language, look at it, and have a plan in it: by its file alone."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from babel import Locale

from generator.console.preview import PreviewSite, preview_app
from generator.materials.languages import own_messages
from generator.materials.shipped import locales_folder, read_shipped, shipped_folder
from generator.materials.unit_folder import read_unit_folder
from generator.page.catalogue import catalogue
from generator.words.message import Message
from generator.words.plurals import plural_categories
from generator.words.po import read_po_file
from generator.words.po_text import po_text
from generator.words.pseudo import PSEUDO_LANGUAGES, Pseudo, pseudo_file
from generator.words.update import updated
from generator.words.variants import base_tag, may_inherit, tag_written
from generator.words.whole_file import remarks_on
from tests.command import DEMO_UNIT, run
from tests.languages import HEADING
from tests.plans import built, copy_of_demo_unit

MESSAGES = catalogue(read_shipped().templates)


@pytest.fixture
def locales(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of languages that a test may change, with nothing but English in it."""
    place = tmp_path / "locales"
    place.mkdir()
    (place / "en.po").write_bytes((shipped_folder("locales") / "en.po").read_bytes())
    monkeypatch.setenv("DAYBEFORE_LOCALES", str(place))
    return place


def instructions_of(unit: Path) -> list[str]:
    """The ids of a unit's own sentences."""
    return list(own_messages(read_unit_folder(unit)))


def filled(path: Path) -> None:
    """Every message of a file that `add` made, translated into a language of our own."""
    po, findings = read_po_file(path.read_bytes(), path.name)
    assert findings == []
    speak = PSEUDO_LANGUAGES[0].spoken
    entries = {entry.id: speak(entry.id, entry.english[-1]) for entry in po.entries}
    text = path.read_text("utf-8")
    for message_id, words in entries.items():
        before, head, after = text.partition(f'msgctxt "{message_id}"\n')
        for empty in ('msgstr ""', 'msgstr[0] ""', 'msgstr[1] ""'):
            block, gap, rest = after.partition("\n\n")
            after = block.replace(empty, empty[:-1] + words.replace('"', '\\"') + '"') + gap + rest
        text = before + head + after
    path.write_text(text, "utf-8")


def test_a_made_up_language_file_alone_gives_a_booklet_in_it(locales: Path, tmp_path: Path) -> None:
    """`qaa` is kept free by ISO 639-2 for local use: no table of ours, of CLDR or of the browser knows it."""
    assert run("language", "add", "qaa", "--formats-from", "en-GB").exit_code == 0
    assert run("language", "check", "qaa").exit_code == 1
    filled(locales / "qaa.po")
    told = run("language", "check", "qaa")
    assert "every message can be shown" in told.output, told.output
    rows = tmp_path / "list.csv"
    rows.write_text(f"{HEADING}Q-1,18/03/2026,09:30,09:00,COLON,PEGASC2,qaa,20,\n", "utf-8")
    unit = copy_of_demo_unit(tmp_path)
    for name in ("answers", "day", "figures", "aftercare"):  # whose sentences are the unit's own to translate
        (unit / f"{name}.toml").unlink()
    plans = built(tmp_path / "data", unit=unit, lists=(rows,))
    page = (plans.folder("Q-1") / "index.html").read_text("utf-8")
    assert '<html lang="qaa" dir="ltr"' in page
    assert "Ŵĥēņ ŧō ċāļļ" in page
    assert "When to call" not in page
    assert "Ŵĥēņ ŧō ċāļļ" not in (plans.folder("Q-1") / "en.html").read_text("utf-8")


def test_add_says_what_comes_next_and_takes_no_file_away(locales: Path) -> None:
    told = run("language", "add", "ZH_hans")
    assert told.exit_code == 0
    assert "language check zh-Hans" in told.output
    assert "language preview zh-Hans" in told.output
    before = (locales / "zh-Hans.po").read_bytes()
    again = run("language", "add", "zh-Hans")
    assert again.exit_code == 1
    assert "There is a file zh-Hans.po already." in str(again.exception or again.output)
    assert (locales / "zh-Hans.po").read_bytes() == before


@pytest.mark.parametrize(
    ("words", "problem"),
    [
        (("add", "../pl"), "is no tag of a language"),
        (("add", "Polish"), "is no tag of a language"),
        (("add", "xx"), "No dates and weekdays are known for “xx”"),
        (("update", "pl"), "There is no file pl.po"),
        (("check", "pl"), "There is no file pl.po"),
        (("preview", "pl"), "There is no language “pl”"),
    ],
)
def test_what_cannot_be_done_is_told(locales: Path, words: tuple[str, ...], problem: str) -> None:
    told = run("language", *words)
    assert told.exit_code == 1
    assert problem in str(told.exception or told.output)
    assert sorted(path.name for path in locales.iterdir()) == ["en.po"]


@pytest.mark.parametrize(
    ("typed", "tag"),
    [
        ("pl", "pl"),
        ("ZH-hans", "zh-Hans"),
        ("pt_br", "pt-BR"),
        ("ES-419", "es-419"),
        ("sr-LATN-rs", "sr-Latn-RS"),
    ],
)
def test_tags_are_written_as_the_standard_recommends(typed: str, tag: str) -> None:
    """RFC 5646, 2.1.1."""
    assert tag_written(typed) == tag


@pytest.mark.parametrize("typed", ["", "p", "polish", "pl-", "pl/../x", "zh-Han", "en-GB-oed", "-pl", "Ï€l"])
def test_what_is_no_tag(typed: str) -> None:
    assert tag_written(typed) == ""


@pytest.mark.parametrize(
    ("tag", "known", "base"),
    [
        ("en-US", {"es"}, "en"),
        ("es-MX", {"es", "es-419"}, "es-419"),  # CLDR's parent locales
        ("es-MX", {"es"}, "es"),
        ("zh-Hant-HK", {"zh-Hant", "zh-Hans"}, "zh-Hant"),
        ("zh-Hant", {"zh", "zh-Hans"}, None),  # another script
        ("sr-Latn", {"sr"}, None),
        ("pt-PT", {"pt", "pt-BR"}, None),  # apart in food and medicine
        ("pl", {"en"}, None),
        ("fa-AF", {"fa"}, "fa"),
    ],
)
def test_a_region_variant_builds_on_the_nearest_language(tag: str, known: set[str], base: str | None) -> None:
    assert base_tag(tag, known) == base


def test_of_persian_dari_takes_over_only_headings_and_buttons() -> None:
    assert may_inherit("fa-AF", "C.page.skip")
    assert not may_inherit("fa-AF", "B.food.milk")


def test_a_variant_holds_only_what_it_says_otherwise(locales: Path, tmp_path: Path) -> None:
    assert run("language", "add", "en-US").exit_code == 0
    assert "every message can be shown" in run("language", "check", "en-US").output
    assert (
        "1 messages, 1 to translate"
        in run("language", "update", "en-US", "--entry", "B.food.yellow-jelly").output
    )
    path = locales / "en-US.po"
    path.write_text(
        path.read_text("utf-8").replace(
            'jelly"\nmsgstr ""', 'jelly"\nmsgstr "Yellow or green gelatin dessert"'
        ),
        "utf-8",
    )
    rows = tmp_path / "list.csv"
    rows.write_text(f"{HEADING}U-1,18/03/2026,09:30,09:00,COLON,PEGASC2,en-US,20,\n", "utf-8")
    page = (built(tmp_path / "data", lists=(rows,)).folder("U-1") / "index.html").read_text("utf-8")
    assert "Yellow or green gelatin dessert" in page
    assert "Yellow or green jelly" not in page
    assert "When to call" in page
    assert "Wednesday March 18" in page.replace("\u2068", "").replace("\u2069", "").replace("\u2066", "")


def test_a_variant_whose_own_words_are_unfinished_does_not_fall_back(locales: Path, tmp_path: Path) -> None:
    """Somebody has begun to say it otherwise: the base's words may be the very ones that are wrong there."""
    run("language", "add", "en-US")
    run("language", "update", "en-US", "--entry", "B.food.yellow-jelly")
    path = locales / "en-US.po"
    path.write_text(
        path.read_text("utf-8").replace('jelly"\nmsgstr ""', 'pudding"\nmsgstr "Gelatin dessert"'), "utf-8"
    )
    rows = tmp_path / "list.csv"
    rows.write_text(f"{HEADING}U-1,18/03/2026,09:30,09:00,COLON,PEGASC2,en-US,20,\n", "utf-8")
    said = built(tmp_path / "data", lists=(rows,)).said["files"][0]["rows"][0]
    assert said["verdict"] == "reject"
    assert any("B.food.yellow-jelly" in finding["problem"] for finding in said["findings"])


@pytest.mark.parametrize("pseudo", PSEUDO_LANGUAGES, ids=lambda one: one.tag)
def test_made_up_languages_pass_every_check(pseudo: Pseudo) -> None:
    raw = po_text(pseudo_file(pseudo, MESSAGES.values())).encode()
    told = remarks_on(raw, pseudo.tag, f"{pseudo.tag}.po", MESSAGES)
    assert [(one.id, one.findings) for one in told if one.missing] == []


def test_made_up_languages_grow_as_real_ones_do() -> None:
    """Text growth, 95th percentile: up to 10 letters 2.5 times, to 20 twice, to 70 1.7 times, longer 1.5 times."""
    spoken = PSEUDO_LANGUAGES[0].spoken
    for english, least in (
        ("Now", 2.5),
        ("When to call", 2.0),
        ("Wear loose clothes. Bring spare underwear.", 1.7),
    ):
        assert len(spoken("", english)) >= least * len(english)
    assert spoken("", "Ring {phone} **now**").startswith("Ŗīņĝ {phone} **ņōŵ**")


def test_an_update_of_a_variant_adds_nothing_by_itself() -> None:
    message = Message("C.page.skip", "Go on", "A link.")
    empty, _ = read_po_file(b'msgid ""\nmsgstr ""\n', "en-US.po")
    locale = Locale.parse("en-US", sep="-")
    assert updated(empty, {message.id: message}, "en-US", locale, ()).entries == ()
    assert [
        entry.id for entry in updated(empty, {message.id: message}, "en-US", locale, [message.id]).entries
    ] == ["C.page.skip"]


@pytest.fixture
def begun(locales: Path, tmp_path: Path) -> PreviewSite:
    """A preview of a language that somebody has just begun."""
    run("language", "add", "pl")
    path = locales / "pl.po"
    path.write_text(
        path.read_text("utf-8").replace(
            'msgid "When to call"\nmsgstr ""', 'msgid "When to call"\nmsgstr "Kiedy dzwonić"'
        ),
        "utf-8",
    )
    unit = copy_of_demo_unit(tmp_path)
    shutil.rmtree(unit / "locales")
    return PreviewSite("pl", unit)


def test_a_preview_shows_every_page_as_far_as_it_has_come(begun: PreviewSite) -> None:
    client = preview_app(begun).test_client()
    index = client.get("/").get_data(as_text=True)
    own = len(instructions_of(DEMO_UNIT))
    assert f"{len(MESSAGES) + own - 1} of {len(MESSAGES) + own} cannot be shown yet" in index
    for name in ("plan-peg-ascorbate-split", "held", "cancelled", "ended", "farewell"):
        answer = client.get(f"/p/{name}/")
        assert answer.status_code == 200
        assert "no-store" in answer.headers["Cache-Control"]
        assert f'href="/i/{name}/"' in answer.get_data(as_text=True)
    page = client.get("/p/plan-peg-ascorbate-split/").get_data(as_text=True)
    assert "Kiedy dzwonić" in page
    assert "«Before you start»" in page
    ids = client.get("/i/plan-peg-ascorbate-split/").get_data(as_text=True)
    assert "A.call.heading" in ids
    assert "Kiedy dzwonić" not in ids
    assert client.get("/p/held/sw.js").status_code == 404  # nothing of a preview may be kept
    assert client.get("/p/../../etc/passwd").status_code == 404


def test_a_preview_is_made_anew_when_the_file_is_saved(begun: PreviewSite, locales: Path) -> None:
    client = preview_app(begun).test_client()
    before = client.get("/version").get_data(as_text=True)
    path = locales / "pl.po"
    path.write_text(path.read_text("utf-8").replace("Kiedy dzwonić", "Kiedy trzeba dzwonić"), "utf-8")
    assert client.get("/version").get_data(as_text=True) != before
    assert "Kiedy trzeba dzwonić" in client.get("/p/ended/").get_data(as_text=True) + client.get(
        "/p/plan-peg-ascorbate-split/"
    ).get_data(as_text=True)


def test_a_file_that_cannot_be_read_leaves_the_last_pages_and_says_why(
    begun: PreviewSite, locales: Path
) -> None:
    client = preview_app(begun).test_client()
    assert "Kiedy dzwonić" in client.get("/p/plan-peg-ascorbate-split/").get_data(as_text=True)
    path = locales / "pl.po"
    path.write_text(path.read_text("utf-8").replace('"Kiedy dzwonić"', '"Kiedy dzwonić'), "utf-8")
    assert "Kiedy dzwonić" in client.get("/p/plan-peg-ascorbate-split/").get_data(as_text=True)
    index = client.get("/").get_data(as_text=True)
    assert "The file cannot be read" in index
    assert "pl.po:" in index


def test_pseudo_writes_beside_the_real_languages_and_never_over_them(tmp_path: Path) -> None:
    real = locales_folder()
    assert run("language", "pseudo", "--out", real).exit_code == 1
    assert run("language", "pseudo", "--out", tmp_path / "try", "--unit", DEMO_UNIT).exit_code == 0
    written = {path.name for path in (tmp_path / "try").glob("*.po")}
    assert written == {path.name for path in real.glob("*.po")} | {"en-XA.po", "ar-XB.po", "en-XC.po"}
    assert {path.name for path in (tmp_path / "try" / "unit").glob("*.po")} == {
        "en-XA.po",
        "ar-XB.po",
        "en-XC.po",
    }


@pytest.mark.parametrize(
    ("tag", "count"), [("ar", 6), ("bn", 2), ("en", 2), ("es", 2), ("pl", 3), ("ur", 2), ("zh-Hans", 1)]
)
def test_forms_for_numbers(tag: str, count: int) -> None:
    """CLDR, plurals for whole numbers up to 200."""
    assert len(plural_categories(Locale.parse(tag, sep="-"))) == count
