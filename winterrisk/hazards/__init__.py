"""hazards"""
