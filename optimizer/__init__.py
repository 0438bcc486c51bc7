"""What is done with what is known: scenarios, plans, assessments, sheets."""
