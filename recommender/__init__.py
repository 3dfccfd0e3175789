"""The rigging-kit planner: from a work mix and a catalogue to the cheapest kit that carries every load."""
