"""What a fault lets out: flow, heat and mass at each place where gas comes out."""
