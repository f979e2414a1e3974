"""The look-up of foods on the phone, by the page's own script in Node, over the shipped words of each language.

Typed words and the foods they are for: common practice, no source; misspellings as people make them on small keys.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
from collections.abc import Sequence
from functools import cache
from itertools import pairwise

import pytest

from generator.clinic.food import WHYS, foods_from
from generator.materials.languages import wordings_from
from generator.materials.shipped import read_shipped
from generator.materials.toml_files import parsed
from generator.page.catalogue import catalogue
from generator.page.food_letters import food_letters
from generator.page.foods import FOOD_IDS, FOODS, GROUPS, REASONS
from generator.page.life import source_wording
from generator.words.wording import Wording
from tests.command import ROOT

SCRIPT = ROOT / "tests" / "foods.mjs"
IDS = list(FOODS)
MOST = 8
SHIPPED = read_shipped()
SMALL = catalogue(SHIPPED.templates)["B.look.small"]
WORDINGS = {"en": source_wording(), **wordings_from(SHIPPED.words)[0]}
COMMAS = "[,،、，;؛]"


def is_whole(wording: Wording) -> bool:
    return all(wording.forms(message) for item in FOODS.values() for message in (item.name, item.find))


TAGS = [tag for tag, wording in WORDINGS.items() if is_whole(wording)]


@cache
def words_of(tag: str) -> dict[str, tuple[str, str]]:
    """Food -> its name and its finder words in a language."""
    wording = WORDINGS[tag]
    return {
        food_id: ((wording.forms(item.name) or ("",))[0], (wording.forms(item.find) or ("",))[0])
        for food_id, item in FOODS.items()
    }


def places(
    foods: Sequence[tuple[str, str]], small: str, lang: str, typed: Sequence[str]
) -> list[list[int] | None]:
    """What the script answers, as places in the list of (name, finder words)."""
    node = shutil.which("node")
    if node is None:
        (pytest.fail if os.environ.get("CI") else pytest.skip)("Node is missing: install Node.")
    listed = [{"name": name, "find": find} for name, find in foods]
    asked = json.dumps(
        {
            "foods": listed,
            "small": small,
            "letters": food_letters(lang),
            "typed": list(typed),
        }
    )
    told = subprocess.run([node, SCRIPT], input=asked, capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stderr
    answer: list[list[int] | None] = json.loads(told.stdout)
    return answer


def found(tag: str, typed: Sequence[str], foods: Sequence[str] = tuple(IDS)) -> list[list[str] | None]:
    """The foods shown for each typed text, best first; None where too little was typed."""
    names, small = words_of(tag), (WORDINGS[tag].forms(SMALL) or ("",))[0]
    answers = places([names[food] for food in foods], small, tag, typed)
    return [None if answer is None else [foods[place] for place in answer] for answer in answers]


# Typed -> the food shown first, and others that must be shown beside it.
TYPED: dict[str, dict[str, tuple[str, ...]]] = {
    "en": {
        "milk": ("milk", "tea-with-milk", "coffee-with-milk", "plant-drink"),
        "MILK": ("milk",),
        "oat milk": ("plant-drink",),
        "a cup of tea": ("black-tea", "tea-with-milk"),
        "tea without milk": ("black-tea",),
        "tea with milk": ("tea-with-milk",),
        "rice": ("white-rice", "brown-rice"),
        "boiled rice": ("white-rice",),
        "eggs": ("egg", "fried-egg"),
        "egg": ("egg", "fried-egg"),
        "yogurt": ("plain-yoghurt", "fruit-yoghurt"),
        "yoghourt": ("plain-yoghurt", "fruit-yoghurt"),
        "bannana": ("banana",),
        "brocolli": ("broccoli",),
        "tomatos": ("grapes-tomato-fig",),
        "tomatoes": ("grapes-tomato-fig", "tomato-sauce"),
        "potatoe": ("peeled-potato", "potato-skin"),
        "straberries": ("berries",),
        "strawberry jam": ("jam-with-seeds",),
        "jam": ("jelly-jam", "jam-with-seeds"),
        "jelly": ("yellow-jelly", "red-jelly"),
        "red jelly": ("red-jelly",),
        "choclate": ("chocolate",),
        "corn flakes": ("cornflakes",),
        "icecream": ("ice-cream",),
        "soup noodle": ("noodle-soup",),
        "crème caramel": ("custard",),
        "smoothies": ("smoothie",),
        "beer": ("alcohol",),
        "chiken": ("chicken",),
        "bread": ("white-bread", "wholemeal-bread"),
        "orange juice": ("orange-juice-pulp", "orange-juice-strained"),
        "apple": ("fruit-with-seeds", "apple-juice", "apple-sauce"),
        "chips": ("crisps", "chips"),
    },
    "es": {
        "leche": ("milk", "tea-with-milk", "coffee-with-milk", "plant-drink"),
        "leche de avena": ("plant-drink",),
        "cafe con leche": ("coffee-with-milk",),
        "té": ("black-tea", "tea-with-milk"),
        "te sin leche": ("black-tea",),
        "zumo de naranja": ("orange-juice-pulp", "orange-juice-strained"),
        "jugo naranja": ("orange-juice-pulp", "orange-juice-strained"),
        "zumo de manzana": ("apple-juice",),
        "frijol": ("beans-lentils",),
        "alubias": ("beans-lentils",),
        "garbanso": ("beans-lentils",),
        "platano": ("banana",),
        "banano": ("banana",),
        "papa": ("peeled-potato", "potato-skin"),
        "patatas": ("peeled-potato", "potato-skin"),
        "huebos": ("egg", "fried-egg"),
        "jitomate": ("grapes-tomato-fig", "tomato-sauce"),
        "nuez": ("nuts-seeds",),
        "cacahuate": ("nuts-seeds", "smooth-peanut-butter"),
        "yogur": ("plain-yoghurt", "fruit-yoghurt"),
        "PIÑA GELATINA": ("yellow-jelly",),
        "palta": ("avocado",),
        "choclo": ("sweetcorn",),
        "cerbeza": ("alcohol",),
        "integral pan": ("wholemeal-bread",),
        "sandia": ("watermelon",),
    },
    "ar": {
        "حليب": ("milk", "tea-with-milk", "coffee-with-milk", "plant-drink"),
        "الحليب": ("milk",),
        "حَلِيب": ("milk",),
        "حلـــيب": ("milk",),
        "شاي بالحليب": ("tea-with-milk",),
        "شاي بدون حليب": ("black-tea",),
        "قهوه": ("black-coffee", "coffee-with-milk"),
        "القهوة": ("black-coffee", "coffee-with-milk"),
        "ارز": ("white-rice", "brown-rice"),
        "أرز": ("white-rice", "brown-rice"),
        "رز ابيض": ("white-rice",),
        "زبادى": ("plain-yoghurt", "fruit-yoghurt"),
        "اناناس جيلي": ("yellow-jelly",),
        "طماطم": ("grapes-tomato-fig", "tomato-sauce"),
        "بندوره": ("grapes-tomato-fig", "tomato-sauce"),
        "بطاطا": ("peeled-potato", "potato-skin"),
        "افوكادو": ("avocado",),
        "شوكولاته": ("chocolate",),
        "شوكلاتة": ("chocolate",),
        "فراوله": ("berries",),
        "خبز اسمر": ("wholemeal-bread", "wholemeal-flatbread"),
        "عيش": ("white-bread", "white-rice"),
        "مکسرات": ("nuts-seeds",),
        "معكرونه": ("white-pasta",),
        "عصير برتقال": ("orange-juice-pulp", "orange-juice-strained"),
        "بيره": ("alcohol",),
    },
}  # fmt: skip


@pytest.mark.parametrize("tag", TYPED)
def test_what_people_type_finds_what_they_mean(tag: str) -> None:
    shown = dict(zip(TYPED[tag], found(tag, list(TYPED[tag])), strict=True))
    wrong = {
        typed: (wanted, shown[typed])
        for typed, wanted in TYPED[tag].items()
        if (shown[typed] or [""])[0] != wanted[0] or not set(wanted) <= set(shown[typed] or ())
    }
    assert wrong == {}


def test_there_are_enough_typed_words() -> None:
    assert {tag: len(typed) >= 25 for tag, typed in TYPED.items()} == {"en": True, "es": True, "ar": True}


@pytest.mark.parametrize(
    ("tag", "typed"),
    [
        ("en", "sushi roll"),
        ("en", "chocolate milkshake"),  # neither chocolate nor milk: each word must be in one name
        ("en", "red tea leaf"),
        ("en", "mlik"),  # a slip is forgiven in words of five letters or more
        ("en", "chocolatte bar cake"),
        ("es", "paella"),
        ("es", "té rojo chino"),
        ("ar", "شاورما"),
        ("ar", "منسف"),
    ],
)
def test_what_is_not_in_the_list_is_not_guessed(tag: str, typed: str) -> None:
    assert found(tag, [typed]) == [[]]


@pytest.mark.parametrize("typed", ["", " ", "m", ".", "ح"])
def test_too_little_says_nothing(typed: str) -> None:
    assert found("en", [typed]) == [None]


def test_only_what_the_unit_lists_is_found() -> None:
    """Another food that has the word is shown under its own name; nothing answers for the food that is left out."""
    shown = found("en", ["whole milk", "milk"], ("water", "plant-drink"))
    assert shown == [[], ["plant-drink"]]


def test_at_most_eight_are_shown() -> None:
    for tag in TAGS:
        for shown in found(tag, [words_of(tag)[food][0][:2] for food in IDS]):
            assert len(shown or ()) <= MOST


@pytest.mark.parametrize("tag", TAGS)
def test_each_name_and_each_finder_word_finds_its_food_first_or_beside_its_equals(tag: str) -> None:
    """A word that several foods have shows all of them: none is hidden behind another's verdict."""
    words: dict[str, set[str]] = {}
    for food, (name, find) in words_of(tag).items():
        for word in (re.split(COMMAS, name)[0], *re.split(COMMAS, find)):
            words.setdefault(word.strip(), set()).add(food)
    assert "" not in words, "two commas with nothing between them"
    shown = dict(zip(words, found(tag, list(words)), strict=True))
    lost = {
        word: (foods, shown[word]) for word, foods in words.items() if not foods <= set(shown[word] or ())
    }
    assert lost == {}
    behind = {
        word: (foods, shown[word])
        for word, foods in words.items()
        if set((shown[word] or [])[: len(foods)]) != foods
    }
    # A word may be part of another food's longer name; the foods that have it as a whole stand first.
    assert behind == {}


@pytest.mark.parametrize("tag", TAGS)
def test_a_name_typed_as_it_stands_finds_its_food_first(tag: str) -> None:
    """With what stands after its comma: “Tea, without milk”. Common practice, no source."""
    names = {food: name for food, (name, _) in words_of(tag).items()}
    shown = dict(zip(names, found(tag, list(names.values())), strict=True))
    assert {food: shown[food] for food in names if (shown[food] or [""])[0] != food} == {}


@pytest.mark.parametrize("tag", TAGS)
def test_names_are_unique(tag: str) -> None:
    names = [name.casefold() for name, _ in words_of(tag).values()]
    assert sorted(names) == sorted(set(names))


def test_there_are_as_many_foods_as_patients_ask_for_and_none_was_lost() -> None:
    """The 22 of the first list keep their ids: units' files name them."""
    assert len(FOODS) >= 103
    assert len(FOODS) == sum(len(group.foods) for group in GROUPS)
    assert set(
        "water clear-broth black-tea black-coffee apple-juice yellow-jelly red-drinks milk white-bread white-rice "
        "white-pasta peeled-potato egg chicken white-fish plain-yoghurt wholemeal-bread beans-lentils nuts-seeds "
        "raw-vegetables fruit-with-seeds alcohol".split()
    ) <= set(FOODS)


def test_each_reason_of_a_units_file_has_a_sentence() -> None:
    assert set(REASONS) == WHYS


@pytest.mark.parametrize("place", ["templates/unit", "demo/unit"])
def test_the_starter_file_judges_every_food_and_gives_reasons(place: str) -> None:
    table = parsed(ROOT / place / "food.toml", "food.toml", [])
    foods, findings = foods_from(table, FOOD_IDS, "food.toml")
    assert findings == []
    assert {food.id for food in foods} == FOOD_IDS
    assert [food.id for food in foods if not food.clear and not food.why] == []


def test_a_disagreement_among_lists_is_named_beside_its_verdict() -> None:
    """“Units judge this differently” never stands without a remark that says who differs."""
    lines = (ROOT / "templates" / "unit" / "food.toml").read_text("utf-8").splitlines()
    unnamed = [
        line
        for before, line in pairwise(lines)
        if 'why = "differ"' in line and not (before.startswith("# ") and len(before.split()) > 5)
    ]
    assert unnamed == []


@pytest.mark.parametrize(
    ("lang", "foods", "typed", "shown"),
    [
        ("de", ["Weißbrot", "Vollkornbrot", "Käse"], "brot", [0, 1]),
        ("de", ["Weißbrot", "Vollkornbrot", "Käse"], "weissbrot", [0]),
        ("de", ["Weißbrot", "Vollkornbrot", "Käse"], "Kase", [2]),
        ("de", ["Reis", "Rei"], "reis", [0]),  # no plural in s: Reis is not Rei
        ("pl", ["Chleb żytni", "Łosoś"], "losos", [1]),
        ("zh-Hans", ["牛奶", "加牛奶的茶", "豆腐"], "牛奶", [0, 1]),
        ("zh-Hans", ["牛奶", "加牛奶的茶", "豆腐"], "茶", [1]),
        ("bn", ["দুধ", "দুধ চা"], "দুধ", [0, 1]),
        ("bn", ["বড়ই", "দুধ"], "বড়ই", [0]),  # the letter as one sign and as two
        ("ur", ["دودھ", "چائے"], "دوده", [0]),
        ("fa", ["شیر", "چای"], "شير", [0]),
        ("he", ["חָלָב", "תה"], "חלב", [0]),
        ("ko", ["우유", "두유"], "우유", [0]),
        ("tr", ["Ispanak", "İncir"], "incir", [1]),
        ("ru", ["Тёртая свёкла"], "тертая свекла", [0]),
        ("el", ["Ψωμί λευκό"], "ψωμι", [0]),
        ("fr", ["Pommes de terre", "Pomme"], "pomme de terre", [0]),
    ],
)
def test_other_languages_and_scripts(lang: str, foods: list[str], typed: str, shown: list[int]) -> None:
    assert places([(food, food) for food in foods], "de", lang, [typed]) == [shown]
