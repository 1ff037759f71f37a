"""What is said is one line that can't upset a terminal, however long and strange what was given."""

from __future__ import annotations

import pickle

from fabricsim.errors import LONGEST, InputError, meant, one_line, shortened


def test_what_was_given_is_cut_in_its_middle() -> None:
    given = "a" * 2500 + "b" * 2500
    said = str(InputError("scene.toml: title", f"'{given}'", "some text", "change it"))
    assert len(said) < LONGEST + 100
    assert "given 'aaaa" in said
    assert "a ... b" in said
    assert "bbbb'; allowed: some text; change it" in said


def test_what_is_short_is_left_as_it_is() -> None:
    assert shortened("x" * LONGEST) == "x" * LONGEST
    assert str(InputError("a", "b", "c", "d")) == "a: given b; allowed: c; d"


def test_signs_that_do_not_print_are_told_by_their_codes() -> None:
    assert str(InputError("a", "'\x1b[31m\u202e\udc80'", "c", "d")) == (
        "a: given '\\x1b[31m\\u202e\\udc80'; allowed: c; d"
    )
    assert one_line("two\nlines\tand  spaces, ü, 編") == "two lines and spaces, ü, 編"


def test_it_goes_from_one_process_to_another_uncut() -> None:
    problem = InputError("a", "x" * 5000, "c", "d")
    assert pickle.loads(pickle.dumps(problem)).given == "x" * 5000


def test_only_what_is_like_a_word_is_taken_to_be_meant() -> None:
    known = ("slack", "width", "csv", "json", "side", "dpi")
    assert [meant(word, known) for word in ("slakc", "wdth", "sid", "Slack")] == ["slack", "width", "side", "slack"]
    assert [meant(word, known) for word in ("case", "show", "")] == [None, None, None]
