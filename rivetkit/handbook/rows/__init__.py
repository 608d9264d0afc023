"""The columns of every table: a module a subject, as in ``tables/``, and a class a file.

Nothing is imported here: a look-up reads the classes of its own tables and no others.
"""
