"""Decision support for infant vital signs: one charted entry in, explained advice out."""
