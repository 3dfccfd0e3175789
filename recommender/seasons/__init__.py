"""Buying over several seasons: budgets, piece plans, hire, several crews, wear and age."""
