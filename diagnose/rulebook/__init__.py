"""The rulebook: knowledge/*.yaml validated into typed objects. No inference here."""
