"""What is sown where and when: windows read from the climate, strips read from the plan."""
