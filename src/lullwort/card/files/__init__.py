"""Files that go out or come in, and the room where they are meanwhile."""

__all__: list[str] = []
