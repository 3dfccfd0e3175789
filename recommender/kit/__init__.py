"""The kit model: feasibility arrays, reduction, integer programme, typed result, independent check."""
