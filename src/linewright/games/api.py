"""The only door to the games: all that other folders ask of them, and the values they are answered with.

A name is loaded from its module when it is first asked for, so that whoever wants counts of a position doesn't wait
for what adds games.
"""

# ruff: noqa: F401 - what is imported here is for others

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from linewright.games.game_source import CountsBelow, GameSource
    from linewright.games.games_base import GamesBase
    from linewright.games.index.one_game import positions
    from linewright.games.index.position_keys import NO_MOVE, pack_move, position_key
    from linewright.games.index.work_copy import left_over
    from linewright.games.ingest.adding import add_games
    from linewright.games.ingest.file_games import FileGame, read_game_file
    from linewright.games.ingest.headers import read_tags
    from linewright.games.ingest.sources import find_game_files
    from linewright.games.ingest.time_control import Pace
    from linewright.games.names.name_lookup import matching, parse_name, plain
    from linewright.games.names.name_similarity import likeness, sound
    from linewright.games.names.name_spellings import Spelling, like_names, same_players
    from linewright.games.open_games import open_base, open_games
    from linewright.games.parquet.cluster import add_on
    from linewright.games.patterns.pattern_parser import PATTERN_HELP, parse_pattern
    from linewright.games.patterns.pattern_search import PatternAnswer
    from linewright.games.query.batch_replay import sans, unpacked
    from linewright.games.query.game_filter import (
        ALL_GAMES,
        DEPTH_BELOW,
        Colour,
        GameFilter,
        Outcome,
        Result,
        parse_band,
    )
    from linewright.games.query.position_input import last_position, parse_position
    from linewright.games.quotes.meetings import Meeting, Meetings
    from linewright.games.quotes.quote_parser import parse_description
    from linewright.games.quotes.quote_values import QuoteAnswer, QuotedGame
    from linewright.games.report.expectation import EXPECTATION_FORMULA, RatingExpectation
    from linewright.games.report.model_games import ModelGame
    from linewright.games.report.study_values import (
        FEW_GAMES,
        FollowUpPlan,
        Proportion,
        Scored,
        StudiedReply,
        Study,
        Trend,
    )
    from linewright.games.report.wilson import wilson_interval
    from linewright.games.starter.table import StarterTable
    from linewright.games.upkeep.exporting import export_games
    from linewright.games.upkeep.removing import remove_source
    from linewright.games.upkeep.upgrading import upgrade_base
    from linewright.games.values import (
        ADD_GAMES,
        FOLLOWING_PLIES,
        AddReport,
        BaseInfo,
        Debut,
        GameRow,
        GameTags,
        Order,
        Player,
        Progress,
        Replies,
        Reply,
        SkippedGame,
    )

#: Where each name is from; the same as above, which type checkers read.
_NAMES: Final = {
    "linewright.games.game_source": "CountsBelow GameSource",
    "linewright.games.games_base": "GamesBase",
    "linewright.games.index.one_game": "positions",
    "linewright.games.index.position_keys": "NO_MOVE pack_move position_key",
    "linewright.games.index.work_copy": "left_over",
    "linewright.games.ingest.adding": "add_games",
    "linewright.games.ingest.file_games": "FileGame read_game_file",
    "linewright.games.ingest.headers": "read_tags",
    "linewright.games.ingest.sources": "find_game_files",
    "linewright.games.ingest.time_control": "Pace",
    "linewright.games.names.name_lookup": "matching parse_name plain",
    "linewright.games.names.name_similarity": "likeness sound",
    "linewright.games.names.name_spellings": "Spelling like_names same_players",
    "linewright.games.open_games": "open_base open_games",
    "linewright.games.parquet.cluster": "add_on",
    "linewright.games.patterns.pattern_parser": "PATTERN_HELP parse_pattern",
    "linewright.games.patterns.pattern_search": "PatternAnswer",
    "linewright.games.query.batch_replay": "sans unpacked",
    "linewright.games.query.game_filter": "ALL_GAMES DEPTH_BELOW Colour GameFilter Outcome Result parse_band",
    "linewright.games.query.position_input": "last_position parse_position",
    "linewright.games.quotes.meetings": "Meeting Meetings",
    "linewright.games.quotes.quote_parser": "parse_description",
    "linewright.games.quotes.quote_values": "QuoteAnswer QuotedGame",
    "linewright.games.report.expectation": "EXPECTATION_FORMULA RatingExpectation",
    "linewright.games.report.model_games": "ModelGame",
    "linewright.games.report.study_values": "FEW_GAMES FollowUpPlan Proportion Scored StudiedReply Study Trend",
    "linewright.games.report.wilson": "wilson_interval",
    "linewright.games.starter.table": "StarterTable",
    "linewright.games.upkeep.exporting": "export_games",
    "linewright.games.upkeep.removing": "remove_source",
    "linewright.games.upkeep.upgrading": "upgrade_base",
    "linewright.games.values": "ADD_GAMES FOLLOWING_PLIES AddReport BaseInfo Debut GameRow "
        "GameTags Order Player Progress Replies Reply SkippedGame",
}  # fmt: skip
_HOMES: Final = {name: module for module, names in _NAMES.items() for name in names.split()}


if not TYPE_CHECKING:  # type checkers need no help, and would believe in any name

    def __getattr__(name: str) -> Any:
        """Load a name from its module."""
        if name not in _HOMES:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        found = globals()[name] = getattr(import_module(_HOMES[name]), name)
        return found
