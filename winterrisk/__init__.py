"""winterrisk"""
