"""The swingarm's geometry from one photograph of the chain's side, with the chain as the ruler."""
