"""The only modules that touch the outside: the browser, the command line, the handbook's Markdown."""
