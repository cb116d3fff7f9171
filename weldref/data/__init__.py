"""The data: schemas, validation, the store, own tables, catalogue and queries."""
