"""The pages that answer: all vessels, one vessel or batch part by part."""

__all__: list[str] = []
