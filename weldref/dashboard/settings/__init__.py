"""Settings: what is published for a weld, and is a setting inside it?"""
