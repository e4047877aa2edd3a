package fallaway.app

import java.io.File
import java.util.concurrent.Callable
import org.objectweb.asm.ClassReader
import org.objectweb.asm.ClassVisitor
import org.objectweb.asm.ClassWriter
import org.objectweb.asm.MethodVisitor
import org.objectweb.asm.Opcodes

/** Every call of the library that was made, by its name: written down by what [Counted] puts before each. */
object Crossings {
    private val made = mutableListOf<String>()

    /** The names of what [what] calls. */
    @Synchronized
    fun of(what: () -> Unit): List<String> {
        made.clear()
        what()
        return made.toList()
    }

    /** A call is made. */
    @JvmStatic
    @Synchronized
    fun note(name: String) {
        made += name
    }

    /** Says how many calls each screen of the scripted days makes to show itself. */
    @JvmStatic
    fun main(args: Array<String>) = Counted.screens().forEach(::println)
}

/** Loads the library's package and the view models once more, and has each call across the border noted before it is made. */
class Counted(private val first: ClassLoader) : ClassLoader(first) {
    override fun loadClass(name: String, resolve: Boolean): Class<*> {
        if (!name.startsWith("fallaway.")) return super.loadClass(name, resolve)
        return findLoadedClass(name) ?: counted(name).let { defineClass(name, it, 0, it.size) }
    }

    private fun counted(name: String): ByteArray {
        val from = first.getResourceAsStream(name.replace('.', '/') + ".class") ?: throw ClassNotFoundException(name)
        val reader = from.use { ClassReader(it) }
        val writer = ClassWriter(reader, ClassWriter.COMPUTE_MAXS)
        reader.accept(object : ClassVisitor(Opcodes.ASM9, writer) {
            override fun visitMethod(access: Int, method: String, types: String, signature: String?, throws: Array<String>?): MethodVisitor =
                Noting(super.visitMethod(access, method, types, signature, throws))
        }, 0)
        return writer.toByteArray()
    }

    private class Noting(to: MethodVisitor) : MethodVisitor(Opcodes.ASM9, to) {
        override fun visitMethodInsn(opcode: Int, owner: String, method: String, types: String, ofInterface: Boolean) {
            val called = CALL.find(method)
            if (owner == "fallaway/UniffiLib" && called != null) {
                super.visitLdcInsn(called.groupValues[1])
                super.visitMethodInsn(Opcodes.INVOKESTATIC, "fallaway/app/Crossings", "note", "(Ljava/lang/String;)V", false)
            }
            super.visitMethodInsn(opcode, owner, method, types, ofInterface)
        }
    }

    companion object {
        /** What the library does when it is asked; handles that are copied and let go are no calls. */
        private val CALL = Regex("uniffi_fallaway_ffi_fn_(?:method|func|constructor)_(.*)")

        /** What each screen of the scripted days calls to show itself. */
        fun screens(): List<String> {
            val own = Counted(Counted::class.java.classLoader).loadClass("fallaway.app.ShownDays")
            return ((own.getDeclaredConstructor().newInstance() as Callable<*>).call() as List<*>).map { "$it" }
        }
    }
}

/** Plays the scripted days; answers of every look at a screen its name, how it was reached, and the calls that showed it. */
class ShownDays : Callable<List<String>> {
    private val root = File(System.getProperty("fallaway.root") ?: "../..")

    override fun call(): List<String> = Playing("en", XmlTexts(File(root, "sample-apps/android/app/res"), "en")).use { playing ->
        Day.steps.flatMap { step ->
            val before = playing.shown(step).screen.name
            val going = Crossings.of {
                playing.play(step)
                show(playing.shown(step))
            }
            val again = Crossings.of {
                playing.shown(step).changed()
                show(playing.shown(step))
            }
            val screen = playing.shown(step).screen.name
            listOfNotNull(line(screen, "again", again), line(screen, step.on, going).takeIf { step.does == "tap" && goes(before, step.on) })
        }.distinct()
    }

    private fun show(phone: Phone) {
        phone.elements()
        phone.kept()
    }

    /** A tap that goes to a screen and does nothing else. */
    private fun goes(before: String, on: String) = on == "back" || on.startsWith("tab.") || before in FROM && on in PAGES

    private fun line(screen: String, how: String, calls: List<String>) = "$screen ($how): ${calls.size} ${calls.joinToString(" ")}".trim()

    private companion object {
        val FROM = listOf("instruments", "numbers", "plan", "more")
        val PAGES = listOf("changed", "clearance", "settle", "setups", "strings", "facts", "sheet", "photos", "people", "send", "note", "settings", "add", "join", "otherwise", "could_not")
    }
}
