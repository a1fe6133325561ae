"""Moving pictures for showing, with numbers, tier and cautions burnt in; drawn from saved results only."""
