"""Written procedures (WPS) and test records (PQR): one model, readers and a form."""
