"""An export that is sound, and prints all the while."""

print("chatty: hello")  # noqa: T201 - what it is for

TITLE, SUFFIX, AUDIENCE = "What was said", ".txt", "public"


def render(paper):
    print("chatty: at work")  # noqa: T201 - what it is for
    return f"{len(paper.plan.steps)} steps\n".encode()
