"""What pages are made of, whatever they are about: markup, fields, style, and what stands around each."""

__all__: list[str] = []
