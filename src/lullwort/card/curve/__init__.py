"""The curve of a batch, for whichever span of it a page shows."""

__all__: list[str] = []
