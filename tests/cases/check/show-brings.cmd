# What an entry brings, as it was written
bodkin show reinforcement patch --all
