"""The reading desk: a document is read cell by cell, without what was recalled."""
