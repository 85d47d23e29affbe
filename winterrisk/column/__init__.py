"""column"""
