"""The user's plan, read and validated: plain immutable objects that know nothing of the other rooms."""
