"""course"""
