"""docs/scenario-format.md says what the code says. `python tests/unit/test_scenario_format.py` writes it anew."""

from __future__ import annotations

from pathlib import Path

from plane3d.lesson import TABLES as LESSON_TABLES
from plane3d.lesson import keys as lesson_keys
from plane3d.levels import LEVELS
from plane3d.pitch_set import OnePitch, PitchSetValues
from plane3d.quantities import EXTRAS, GROUPS, all_quantities, choices, quantities
from plane3d.scenario import Scenario, loads

PAGE = Path(__file__).parents[2] / "docs" / "scenario-format.md"
START, END = "<!-- generated: keys -->", "<!-- end of generated part -->"
LESSON_START, LESSON_END = "<!-- generated: lesson keys -->", "<!-- end of lesson keys -->"
SET_START, SET_END = "<!-- generated: pitch set keys -->", "<!-- end of pitch set keys -->"
FOLLOWS = ("setting.fence_line_ft", "pitch.plate_height_in", "swing.bat_direction_deg")


def starting(level: str) -> Scenario:
    return loads(f'format = 1\ntitle = "x"\n[setting]\nlevel = "{level}"\n')


def shown(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


def usual(key: str) -> str:
    values = {shown(starting(level).value(key)) for level in LEVELS}
    if key in FOLLOWS:
        return "follows"
    if values == {"None"}:
        return "none"
    return values.pop() if len(values) == 1 else "by level"


def key_tables() -> list[str]:
    lines = []
    for group, model in GROUPS.items():
        heading, _, about = (model.__doc__ or "").partition(": ")
        lines += [
            "",
            f"### `{heading}`: {about}",
            "",
            "| key | range | unit | default | meaning |",
            "|---|---|---|---|---|",
        ]
        for name, field in model.model_fields.items():
            key = f"{group}.{name}"
            if q := quantities().get(key):
                limits, unit = f"{q.low:g} to {q.high:g}", q.unit
            else:
                limits, unit = ", ".join(f'`"{word}"`' for word in choices()[key]), ""
            default = "`high-school`" if key == "setting.level" else usual(key)
            lines.append(f"| `{name}` | {limits} | {unit} | {default} | {field.description} |")
    for group, model in EXTRAS.items():
        about = (model.__doc__ or "").partition(": ")[2]
        keys = ", ".join(f"`{name}`" for name in model.model_fields)
        numbers = any(key.startswith(f"{group}.") for key in all_quantities())
        holds = f"May hold, with the ranges above: {keys}." if numbers else f"Holds {keys}, one line of letters."
        lines += ["", f"### `[{group}]`: {about}", "", holds]
    return lines


def level_table() -> list[str]:
    keys = [k for k in (*quantities(), *choices()) if k != "setting.level" and usual(k) == "by level"]
    lines = ["", "### Values by level", ""]
    for names in ([n for n in LEVELS if "softball" not in n], [n for n in LEVELS if "softball" in n]):
        scenarios = [starting(name) for name in names]
        lines += [f"| key | {' | '.join(names)} |", "|---" * (len(names) + 1) + "|"]
        lines += [f"| `{key}` | {' | '.join(shown(s.value(key)) for s in scenarios)} |" for key in keys]
        lines.append("")
    return lines


def generated() -> str:
    return "\n".join([START, *key_tables(), *level_table(), END])


def lesson_tables() -> str:
    lines = [LESSON_START]
    for table, model in LESSON_TABLES.items():
        about = (model.__doc__ or "").partition("\n")[0]
        title = f"`{table}`: {about}" if table else about
        lines += ["", f"### {title}", "", "| key | what it is | meaning |", "|---|---|---|"]
        for key, field in lesson_keys().items():
            name = key.removeprefix(f"{table}.") if table else key
            if name == key.rpartition(".")[2] and key == f"{table}.{name}".lstrip("."):
                lines.append(f"| `{name}` | {field.title} | {field.description} |")
    return "\n".join([*lines, "", LESSON_END])


def set_tables() -> str:
    lines = [SET_START]
    for model, names in ((PitchSetValues, PitchSetValues.model_fields), (OnePitch, ("title", "count"))):
        about = (model.__doc__ or "").partition("\n")[0]
        title = about if model is PitchSetValues else f"`pitch`: {about}"
        lines += ["", f"### {title}", "", "| key | what it is | meaning |", "|---|---|---|"]
        fields = {name: model.model_fields[name] for name in names}
        lines += [f"| `{name}` | {field.title} | {field.description} |" for name, field in fields.items()]
    return "\n".join([*lines, "", SET_END])


def page_with(keys: str, lesson: str, pitch_set: str) -> str:
    page = PAGE.read_text(encoding="utf-8")
    parts = ((keys, START, END), (lesson, LESSON_START, LESSON_END), (pitch_set, SET_START, SET_END))
    for part, start, end in parts:
        page = page[: page.index(start)] + part + page[page.index(end) + len(end) :]
    return page


def test_the_page_says_what_the_code_says() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert page == page_with(generated(), lesson_tables(), set_tables()), (
        "run: python tests/unit/test_scenario_format.py"
    )


if __name__ == "__main__":
    PAGE.write_text(page_with(generated(), lesson_tables(), set_tables()), encoding="utf-8", newline="\n")
