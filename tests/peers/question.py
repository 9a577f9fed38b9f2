"""A question for a rule and, beside it, the calls by which a peer answers it."""

import collections

# rule, case: what ambershelf is asked. data: names the calls use. checks: what is compared.
Question = collections.namedtuple("Question", "rule case data checks")
# path: key of our answer, dotted; '*' each of a list, '0:6' the first six. peer: "R", an R package beyond it, "scipy".
Check = collections.namedtuple("Check", "path peer call")


def r_text(value):
    """As R writes it."""
    if isinstance(value, list):
        return f"c({', '.join(map(r_text, value))})"
    return f'"{value}"' if isinstance(value, str) else repr(value)


def at(answer, path):
    """What stands at a path. A list that is shorter than asked for is what there is."""
    here, _, rest = path.partition(".")
    if here == "":
        return answer
    if answer is None:
        return None
    if here == "*":
        return [at(item, rest) for item in answer]
    if ":" in here:
        first, end = map(int, here.split(":"))
        return [at(item, rest) for item in answer[first:end]]
    return at(answer[int(here)] if isinstance(answer, list) else answer.get(here), rest)
