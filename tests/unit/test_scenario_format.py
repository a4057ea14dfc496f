"""docs/scenario-format.md says what the code says. `python tests/unit/test_scenario_format.py` writes it anew."""

from __future__ import annotations

from pathlib import Path

from plane3d.levels import LEVELS
from plane3d.quantities import EXTRAS, GROUPS, choices, quantities
from plane3d.scenario import Scenario, loads

PAGE = Path(__file__).parents[2] / "docs" / "scenario-format.md"
START, END = "<!-- generated: keys -->", "<!-- end of generated part -->"
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
        lines += ["", f"### `[{group}]`: {about}", "", f"May hold, with the ranges above: {keys}."]
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


def page_with(part: str) -> str:
    page = PAGE.read_text(encoding="utf-8")
    return page[: page.index(START)] + part + page[page.index(END) + len(END) :]


def test_the_page_says_what_the_code_says() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert page == page_with(generated()), "run: python tests/unit/test_scenario_format.py"


def test_the_example_on_the_page_is_a_scenario() -> None:
    example = PAGE.read_text(encoding="utf-8").split("```toml\n")[1].split("```")[0]
    assert loads(example).title == "One inch under"


if __name__ == "__main__":
    PAGE.write_text(page_with(generated()), encoding="utf-8", newline="\n")
