"""METHOD is raised when answers move."""

from tests.kits.sizing.verdict.method_answers import BOTH, RAISE, WRITE, answers, complaint, read


def test_answers_of_the_demonstration_move_only_with_the_method(world):
    assert not complaint(read(), answers(world))


def test_what_has_moved_is_told_with_what_to_do():
    before = {"a": ("k1", "one"), "b": ("k2", "two")}
    assert complaint(before, before) == ""
    assert complaint(before, {**before, "b": ("k2", "other")}) == RAISE.format("b")
    assert complaint(before, {**before, "c": ("k2", "other")}) == RAISE.format("c"), (
        "the same case, whatever its name"
    )
    assert complaint(before, {**before, "b": ("k3", "two")}) == WRITE.format("b")
    assert complaint(before, {**before, "b": ("k3", "other")}) == WRITE.format("b") + BOTH.format("b")
    assert complaint(before, {"a": ("k1", "one")}) == WRITE.format("b")
    # with another METHOD every key is another one
    assert complaint(before, {"a": ("m1", "1"), "b": ("m2", "2")}) == WRITE.format("a, b") + BOTH.format(
        "a, b"
    )
