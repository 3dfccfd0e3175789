"""Pictures: ``*_rows`` works out typed rows, ``*_chart`` draws them and does nothing else."""
