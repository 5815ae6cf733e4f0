"""Pages that follow what is new, and cost little while they do."""

__all__: list[str] = []
