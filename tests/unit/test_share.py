"""Sharing with viewers in the network: what they get, who is counted, and what a restart brings back."""

from __future__ import annotations

import asyncio
import json
import secrets
import socket
import stat
from dataclasses import replace
from pathlib import Path

import pytest

from apps import share_kept, share_panel
from apps.share import Share
from apps.share_shown import OUTCOMES, Shown
from apps.share_start import how_to_join, viewers_server
from plane3d.errors import Plane3dError
from plane3d.play import play
from tests.share_load import Follower, delays
from tests.share_room import INCH, LESSON, Room, alone, asked, closed, hear, run, say, shown, wait


def test_the_question_comes_without_its_answer_and_the_answer_when_it_is_revealed(tmp_path: Path) -> None:
    async def visit(room: Room) -> None:
        live = await room.join()
        _, table = await hear(live)
        said = json.dumps(table)
        assert table["whole"] and table["tell"] is None
        assert table["ask"]["question"] == INCH.question
        assert "off the bat" not in said and "A fly ball to" not in said and "below_line" not in said
        assert set(table["scene"]["labels"]) == {"pitch line", "barrel path", "hand path"}
        assert table["scene"]["motion"]["contact_time"] is None
        await room.show(replace(asked(), revealed=True))
        _, table = await hear(live)
        assert not table["whole"] and "ask" not in table
        assert table["tell"]["sentence"].startswith("The barrel is 1.0 in below the line: a fly ball")
        assert OUTCOMES[table["tell"]["right"]].says == "A fly ball"
        assert "batted ball" in table["scene"]["labels"]
        assert "bat" not in table["scene"]["meshes"]  # it has not changed
        room.share.run(True, 0.2, 0.05, "side")
        head, table = await hear(live)
        assert table == {}
        assert head["clock"]["playing"] and head["clock"]["time"] == pytest.approx(0.2, abs=0.01)
        late, table = await hear(await room.join())  # whoever comes later gets it whole, at the clock's present time
        assert table["whole"] and late["clock"]["time"] > head["clock"]["time"]

    run(tmp_path, asked(), visit)


def test_a_lesson_says_its_own_answer_and_the_play_with_moved_sliders(tmp_path: Path) -> None:
    step = LESSON.steps[1]
    moved = step.scenario.with_values({"swing.below_line_in": 3.5})
    plain = Shown(step, step.scenario, play(step.scenario.to_inputs()), LESSON.title, 1, 6, lesson="inch")

    async def visit(room: Room) -> None:
        live = await room.join()
        _, table = await hear(live)
        assert table["ask"]["title"] == "Why an inch matters" and table["ask"]["place"] == 1
        assert table["tell"]["right"] == 2 and table["tell"]["rows"][1] == ["The undercut", "21°"]
        await room.show(replace(plain, scenario=moved, play=play(moved.to_inputs())))
        _, table = await hear(live)
        assert table["tell"]["changed"] and table["tell"]["right"] == 2 and table["tell"]["rows"] == []
        assert "3.5 in below the line" in table["tell"]["sentence"]

    run(tmp_path, plain, visit)


def test_viewers_hear_their_own_language(tmp_path: Path) -> None:
    async def visit(room: Room) -> None:
        spanish = await room.connect(**{"Accept-Language": "es-MX"})
        await say(spanish, do="join", code=room.share.code, name="0" * 32)
        _, table = await hear(spanish)
        assert "barril" in table["tell"]["sentence"]
        page = await room.get("/", headers={"Accept-Language": "es"})
        assert b'<html lang="es"' in page.body

    run(tmp_path, shown(), visit)


def test_predictions_are_counted_once_each_and_only_until_the_reveal(tmp_path: Path) -> None:
    async def visit(room: Room) -> None:
        key = room.share.shown.key if room.share.shown else ""
        name = secrets.token_hex(16)
        one, two = await room.join(name), await room.join()
        for live, choice in ((one, 0), (two, 2), (one, 1)):  # one changes its mind
            await hear(live) if choice != 1 else None
            await say(live, do="predict", question=key, choice=choice)
        await wait(lambda: room.share.tally() == [0, 1, 1, 0, 0, 0])
        one.close()
        back = await room.join(name)  # it returns, and says so again
        await hear(back)
        for choice in (1, 9):  # 9 is none of the choices
            await say(back, do="predict", question=key, choice=choice)
        await say(back, do="predict", question="0" * 16, choice=0)
        await room.show(replace(asked(), revealed=True))
        await hear(back)
        await say(back, do="predict", question=key, choice=5)
        await asyncio.sleep(0.1)
        assert room.share.tally() == [0, 1, 1, 0, 0, 0]
        assert len(room.share.viewers) == 2
        assert name not in room.file.read_text() and "127.0.0.1" not in room.file.read_text()

    run(tmp_path, asked(), visit)


def test_a_slow_viewer_skips_states_and_holds_nobody_up(tmp_path: Path) -> None:
    async def visit(room: Room) -> None:
        slow, quick = await room.join(), await room.join()
        frame = await slow.read_message()  # and does not say that it has drawn it
        assert frame is not None
        first, _ = await hear(quick)
        for inches in (1.5, 2.0, 2.5):
            scenario = INCH.with_values({"swing.below_line_in": inches})
            await room.show(shown(scenario=scenario, play=play(scenario.to_inputs())))
            head, table = await hear(quick)
            assert not table["whole"]
        assert head["number"] == first["number"] + 3
        await say(slow, do="drawn", number=first["number"])
        last, table = await hear(slow)  # the one next message holds all that has changed
        assert last["number"] == head["number"] and not table["whole"]
        assert "2.5 in below the line" in table["tell"]["sentence"]
        await say(slow, do="drawn", number=0)  # it has lost its picture
        assert (await hear(slow))[1]["whole"]

    run(tmp_path, shown(), visit)


def test_forty_viewers_have_every_change_within_a_second(tmp_path: Path) -> None:
    async def visit(room: Room) -> None:
        started = [asyncio.Event() for _ in range(40)]
        followers = [Follower(f"http://127.0.0.1:{room.server.port}/", room.share.code) for _ in started]
        tasks = [asyncio.create_task(f.follow(event)) for f, event in zip(followers, started, strict=True)]
        await asyncio.gather(*(event.wait() for event in started))
        for inches in range(1, 13):
            scenario = INCH.with_values({"swing.below_line_in": inches / 10})
            await room.show(shown(scenario=scenario, play=play(scenario.to_inputs())))
        await wait(lambda: all(max(f.arrived) == room.share.states.number for f in followers))
        late = sorted(delays(followers))
        assert late[int(0.95 * len(late))] < 1.0
        assert not any(follower.lost or follower.broken for follower in followers)
        for task in tasks:
            task.cancel()

    run(tmp_path, shown(), visit)


def test_a_restart_brings_code_token_and_place_back(tmp_path: Path) -> None:
    step = LESSON.steps[2]
    place = Shown(step, step.scenario, play(step.scenario.to_inputs()), LESSON.title, 2, 6, False, True, "dark", "inch")

    async def visit(room: Room) -> None:
        assert stat.S_IMODE(room.file.stat().st_mode) == 0o600
        held, problem = share_kept.read(room.file)
        again = Share(held, room.file)
        assert problem == ""
        assert (again.code, again.token, held.port) == (room.share.code, room.share.token, room.server.port)
        assert again.shown is not None and room.share.shown is not None
        assert again.shown.key == room.share.shown.key
        assert (again.shown.place, again.shown.revealed, again.shown.metric) == (2, False, True)
        old, new = room.share.states.now, again.states.now
        assert old is not None and new is not None
        assert new.made("en").ask == old.made("en").ask
        assert share_panel.home(again.shown) == "/lesson?lesson=inch&step=3&open=0"

    run(tmp_path, place, visit)


@pytest.mark.parametrize("text", ["", "{", "[]", '{"code": "A", "token": "B"}', "null", '{"code": 1}', "[" * 5000])
def test_a_broken_file_is_a_fresh_start(tmp_path: Path, text: str) -> None:
    file = tmp_path / "share.json"
    file.write_text(text)
    held, problem = share_kept.read(file)
    assert "new code" in problem and len(held.code) == 6 and held.shown is None


def test_names_in_the_file_reach_no_other_file(tmp_path: Path) -> None:
    kept = share_kept.keep_shown(shown())
    text = next(iter(kept.files.values()))
    outside = tmp_path / "outside.toml"
    for name in (f"../../{outside.name}", str(outside), "..\\..\\outside.toml", "/etc/passwd"):
        share_kept.restored(kept.model_copy(update={"files": {name: text}}))
    assert not outside.exists()


def test_the_port_is_closed_until_sharing_starts_and_after_it_stops(tmp_path: Path) -> None:
    async def visit(room: Room) -> None:
        live = await room.join()
        await hear(live)
        room.server.stop()
        assert await closed(live) == (4001, "stopped")
        with socket.socket() as probe, pytest.raises(OSError):
            probe.connect(("127.0.0.1", room.server.port))
        room.server.start()  # at the same port
        await hear(await room.join())

    run(tmp_path, shown(), visit)


def test_the_terminal_tells_how_to_join_and_a_restart_says_the_same(tmp_path: Path) -> None:
    file = tmp_path / "share.json"

    async def visit() -> None:
        said = []
        for new in (False, False, True):
            server = viewers_server(0 if not said else None, "192.0.2.7", new, file)
            said.append((server.share.code, server.share.token, server.port))
            words = how_to_join(server, "http://127.0.0.1:5006/")
            assert f"http://127.0.0.1:5006/present?token={server.share.token}" in words
            assert f"http://192.0.2.7:{server.port}/ with the code {server.share.code}" in words
            with socket.socket() as other, pytest.raises(Plane3dError, match="--share-port"):
                other.bind(("127.0.0.1", 0))
                other.listen()
                viewers_server(other.getsockname()[1], "", False, tmp_path / "other.json")
            server.stop()
        assert said[0] == said[1]
        assert not set(said[1]) & set(said[2][:2])

    alone(visit)
