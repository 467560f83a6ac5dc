"""How is a result put into words? One catalogue, for pages, commands and what programs get.

The standing gives codes with named arguments. Each is a whole sentence here, so that another
language can be added sentence by sentence.
"""
