"""Which entry a word means: the same in every option that names one."""

from collections.abc import Sequence

from catalog.mistakes import Mistake, did_you_mean

COMMAND_LINE = "command line"


def one_meant(
    word: str, ids: Sequence[str], option: str, allowed: str, mistakes: list[Mistake], more: Sequence[str] = ()
) -> str:
    """The one id that is meant by itself or by words of it ("kelp", "vitamin-d3"); `more` ids have to be written out.

    A mistake, and "", when there is none or more than one; `allowed` says what would be one.
    """
    found = [id_ for id_ in ids if id_ == word] or [id_ for id_ in ids if f"-{word}-" in f"-{id_}-"]
    if len(found) != 1 and word in more:
        return word
    if len(found) != 1:
        allowed = f"one of {', '.join(found)}" if found else allowed
        mistakes.append(Mistake(COMMAND_LINE, 0, option, f'"{word}"', allowed, did_you_mean(word, [*ids, *more])))
        return ""
    return found[0]
