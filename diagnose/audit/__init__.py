"""How well all rules together diagnose: the rulebook's scores on worked and published cases."""
