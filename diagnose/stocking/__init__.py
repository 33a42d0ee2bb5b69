"""Before adding stock: is this container ready, for whom, how many, when and how."""
