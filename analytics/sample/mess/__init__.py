"""The invented fleet as dirty exports of three invented offices, with a key to every defect."""

from analytics.sample.mess.mess import InventedMess, mess_of, write_mess

__all__ = ["InventedMess", "mess_of", "write_mess"]
