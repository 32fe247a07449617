# Why a piece of advice: its bound once, what it can meet, its examples
bodkin why fullness-by-cloth
